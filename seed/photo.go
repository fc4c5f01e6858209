package seed

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"time"

	"witnessmark/internal/photo"
	"witnessmark/seed/picture"
)

// quality is the JPEG quality that a phone of the middle sort uses (common practice, no source); a picture has about
// 150 to 250 kB with it.
const quality = 88

// cameras are invented.
var cameras = []struct{ maker, model string }{
	{"Bay camera", "BC-2"}, {"Bay camera", "BC-2 mini"}, {"Hobsgarth loan phone", "HL-5"},
}

// Photo draws a shot as the JPEG that a phone would make of it at takenAt, with EXIF. Every fifth phone was held upright:
// its picture is stored on its side, and EXIF says so.
func Photo(s picture.Shot, takenAt time.Time) ([]byte, error) {
	img := picture.Draw(s)
	orientation := 1
	if s.Number%5 == 2 {
		img, orientation = onItsSide(img), 6
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("encode a photo: %w", err)
	}
	camera := cameras[s.Number%len(cameras)]
	return photo.WithEXIF(out.Bytes(), photo.EXIF{
		TakenAt: takenAt, ZoneStated: true, Make: camera.maker, Model: camera.model, Orientation: orientation,
	})
}

// onItsSide turns a picture a quarter to the left, so that orientation 6 (a quarter to the right) shows it upright.
func onItsSide(in *image.RGBA) *image.RGBA {
	w, h := in.Rect.Dx(), in.Rect.Dy()
	out := image.NewRGBA(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			from, to := in.PixOffset(x, y), out.PixOffset(y, w-1-x)
			copy(out.Pix[to:to+4], in.Pix[from:from+4])
		}
	}
	return out
}
