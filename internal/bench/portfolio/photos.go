package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"path/filepath"

	"witnessmark/internal/blob"
	"witnessmark/internal/photo"
)

// The photos are what a phone's main camera makes: 12 megapixels in about 2.4 MB, with the place in it.
const (
	wide, high  = 4000, 3000
	grain       = 34
	thumb       = 16   // the longer side of the small photos, for the page structure alone
	previewSide = 1600 // the longer side of a preview, as the application makes them
	quality     = 75   // makes 2.4 MB of the picture that is drawn here
)

// shot is a stored photo.
type shot struct {
	Digest, Bare, Preview string
	Size                  int64
	Wide, High            int
}

// scene draws something with the detail of a photo: shapes under grain.
func scene(w, h int) image.Image {
	r := rand.New(rand.NewPCG(1, 2))
	m := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for y := range h {
		for x := range w {
			shape := 90 + 60*((x/97+y/131)%2) + (x*40)/w
			m.Y[m.YOffset(x, y)] = uint8(shape + r.IntN(grain))
		}
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = uint8(118+i%17), uint8(132+i%11)
	}
	return m
}

func encode(to *bytes.Buffer, w, h int) error {
	return jpeg.Encode(to, scene(w, h), &jpeg.Options{Quality: quality})
}

// shoot stores n photos of a scene, no two with the same bytes: they differ by a last entry of their tables, which no eye sees.
func shoot(dir string, w, h, n int) ([]shot, error) {
	blobs, err := blob.OpenFolder(filepath.Join(dir, "evidence"))
	if err != nil {
		return nil, err
	}
	var drawn bytes.Buffer
	if err := encode(&drawn, w, h); err != nil {
		return nil, err
	}
	small, err := photo.Preview(bytes.NewReader(drawn.Bytes()), photo.Info{Media: photo.JPEG, Width: w, Height: h, Orientation: 1}, previewSide)
	if err != nil {
		return nil, err
	}
	var all []shot
	for i := range n {
		one, err := number(drawn.Bytes(), i)
		if err != nil {
			return nil, err
		}
		s := shot{Size: int64(len(one)), Wide: w, High: h}
		if s.Digest, err = keep(blobs, one); err != nil {
			return nil, err
		}
		var bare bytes.Buffer
		if _, err := bare.ReadFrom(photo.Strip(bytes.NewReader(one))); err != nil {
			return nil, err
		}
		s.Bare = digestOf(bare.Bytes())
		if one, err = number(small, i); err != nil {
			return nil, err
		}
		if s.Preview, err = keep(blobs, one); err != nil {
			return nil, err
		}
		all = append(all, s)
	}
	return all, nil
}

func keep(blobs *blob.Folder, content []byte) (string, error) {
	d, _, err := blobs.Put(context.Background(), bytes.NewReader(content), 1<<30)
	return d.String(), err
}

// number makes the nth photo: the last two factors of the first table say which it is, and a place is written before it.
func number(drawn []byte, n int) ([]byte, error) {
	at := bytes.Index(drawn, []byte{0xff, 0xdb})
	if at < 0 {
		return nil, fmt.Errorf("the picture has no table")
	}
	one := bytes.Clone(drawn)
	one[at+4+63], one[at+4+64] = byte(100+n%100), byte(100+n/100)
	exif := photo.EXIF{Orientation: 1, Make: "Bench", GPS: &photo.GPS{Latitude: 51.5, Longitude: -0.1}}
	return photo.WithEXIF(one, exif)
}

func digestOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
