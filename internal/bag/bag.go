// Package bag writes and checks the parts of a BagIt bag (RFC 8493, version 1.0): a folder of files with lists of their digests, which
// sha256sum -c checks as well as this program does.
//
// The rules of its world:
//
//   - The payload lies under data/, and every file of it stands in manifest-sha256.txt; the files beside it stand in
//     tagmanifest-sha256.txt. SHA-256 is the only digest.
//   - A path has slashes, no dots to climb by, and is nobody's typed name: Name makes one that every system keeps.
//   - Nothing is ever fetched: a bag that asks for that (fetch.txt) is not whole.
//   - The same files and the same facts give the same bytes.
package bag

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// The files beside the payload.
const (
	declarationFile = "bagit.txt"
	infoFile        = "bag-info.txt"
	manifestFile    = "manifest-sha256.txt"
	tagFile         = "tagmanifest-sha256.txt"
	fetchFile       = "fetch.txt"
	payload         = "data/"
)

const declaration = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"

// Entry is one file of the payload.
type Entry struct {
	Path   string // from the bag's folder, beginning with data/
	SHA256 string // hex, in small letters
	Size   int64  // in bytes; not read from a manifest
}

// Fact is a line of bag-info.txt. Neither part has a line break, nor Name a colon.
type Fact struct{ Name, Value string }

// File is a file beside the payload.
type File struct {
	Name string
	Data []byte
}

// Tags makes the files beside a payload: declaration, facts with the payload's sum (Payload-Oxum), and both manifests.
func Tags(entries []Entry, facts []Fact) ([]File, error) {
	bytesOf := int64(0)
	for _, e := range entries {
		bytesOf += e.Size
	}
	info, err := infoText(append(slices.Clone(facts), Fact{"Payload-Oxum", fmt.Sprintf("%d.%d", bytesOf, len(entries))}))
	if err != nil {
		return nil, err
	}
	manifest, err := manifestText(entries)
	if err != nil {
		return nil, err
	}
	files := []File{{declarationFile, []byte(declaration)}, {infoFile, info}, {manifestFile, manifest}}
	var tags []Entry
	for _, f := range files {
		sum := sha256.Sum256(f.Data)
		tags = append(tags, Entry{Path: f.Name, SHA256: hex.EncodeToString(sum[:])})
	}
	return append(files, File{tagFile, lines(tags)}), nil
}

func infoText(facts []Fact) ([]byte, error) {
	var b bytes.Buffer
	for _, f := range facts {
		if f.Name == "" || strings.ContainsAny(f.Name, ":\r\n") || strings.ContainsAny(f.Value, "\r\n") {
			return nil, fmt.Errorf("%q is no line of a bag's facts", f.Name+": "+f.Value)
		}
		fmt.Fprintf(&b, "%s: %s\n", f.Name, f.Value)
	}
	return b.Bytes(), nil
}

func manifestText(entries []Entry) ([]byte, error) {
	seen := map[string]bool{}
	for _, e := range entries {
		if !strings.HasPrefix(e.Path, payload) || !sound(e.Path) || len(e.SHA256) != 2*sha256.Size || seen[strings.ToLower(e.Path)] {
			return nil, fmt.Errorf("%q cannot stand in a bag", e.Path)
		}
		seen[strings.ToLower(e.Path)] = true
	}
	return lines(entries), nil
}

// lines are a manifest's, by path. Two spaces stand between, as sha256sum writes it.
func lines(entries []Entry) []byte {
	sorted := slices.SortedFunc(slices.Values(entries), func(a, b Entry) int { return strings.Compare(a.Path, b.Path) })
	var b bytes.Buffer
	for _, e := range sorted {
		fmt.Fprintf(&b, "%s  %s\n", e.SHA256, escaper.Replace(e.Path))
	}
	return b.Bytes()
}

// What may stand in a path but not in a line of a manifest (RFC 8493, 2.1.3).
var (
	escaper   = strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A")
	unescaper = strings.NewReplacer("%25", "%", "%0D", "\r", "%0d", "\r", "%0A", "\n", "%0a", "\n")
)

// sound says whether a path stays within its bag.
func sound(p string) bool {
	return fs.ValidPath(p) && p != "." && !strings.Contains(p, "\\")
}

// Name makes a typed file name one that every system keeps: letters of ASCII, digits, dots, dashes and underscores, at most forty,
// the last ones staying, since the kind of file stands there.
func Name(typed string) string {
	const most = 40
	safe := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '.' || r == '-' || r == '_' {
			return r
		}
		return '_'
	}, path.Base(strings.ReplaceAll(typed, "\\", "/")))
	if len(safe) > most {
		safe = safe[len(safe)-most:]
	}
	return strings.TrimLeft(safe, ".-")
}

// ErrNone is that a folder is no bag.
var ErrNone = errors.New("that folder is no BagIt bag of version 1.0: bagit.txt does not say so")

// readManifest reads a manifest's lines.
func readManifest(name string, text []byte) ([]Entry, error) {
	var out []Entry
	seen := map[string]bool{}
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\r\n")
		sum, rest, _ := strings.Cut(line, " ")
		p := unescaper.Replace(strings.TrimPrefix(strings.TrimLeft(rest, " \t"), "*"))
		raw, err := hex.DecodeString(sum)
		if err != nil || len(raw) != sha256.Size || !sound(p) || seen[p] {
			return nil, fmt.Errorf("the line %q of %s is no digest and path, or stands there twice", line, name)
		}
		seen[p] = true
		out = append(out, Entry{Path: p, SHA256: strings.ToLower(sum)})
	}
	return out, nil
}
