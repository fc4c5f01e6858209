module witnessmark/internal/pdf/pdfcpu

go 1.26.0

require (
	github.com/pdfcpu/pdfcpu v0.15.0
	witnessmark v0.0.0
)

require (
	github.com/clipperhouse/uax29/v2 v2.7.0 // indirect
	github.com/go-fonts/dejavu v0.3.2 // indirect
	github.com/goccy/go-yaml v1.19.2 // indirect
	github.com/google/uuid v1.6.0 // indirect
	github.com/gowebpki/jcs v1.0.2 // indirect
	github.com/hhrutter/tiff v1.0.6 // indirect
	github.com/mattn/go-runewidth v0.0.27 // indirect
	github.com/skip2/go-qrcode v0.0.0-20200617195104-da1b6568686e // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/crypto v0.58.0 // indirect
	golang.org/x/image v0.47.0 // indirect
	golang.org/x/text v0.43.0 // indirect
)

replace witnessmark => ../../..
