package upload

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strconv"

	"github.com/google/uuid"
	"github.com/tus/tusd/v2/pkg/handler"

	"witnessmark/internal/app"
)

// files is the application as the protocol's handler asks for one.
type files struct{ *service }

// NewUpload announces a file, or finds the one that was announced before.
func (f files) NewUpload(ctx context.Context, info handler.FileInfo) (handler.Upload, error) {
	k := callOf(ctx)
	attempt, file, err := announced(k.r.Header)
	if err != nil {
		return nil, f.trouble(err)
	}
	u, err := f.app.BeginUpload(ctx, k.who, attempt, file, info.Size)
	if err != nil {
		return nil, f.trouble(err)
	}
	if u.Offset > 0 { // a repeat brings its first bytes again, and they are here
		k.r.Body, k.r.ContentLength = http.NoBody, 0
	}
	return upload{f.service, u.ID}, nil
}

// GetUpload is an upload by the id in its address; whether it is there shows when it is asked for.
func (f files) GetUpload(_ context.Context, id string) (handler.Upload, error) {
	u, ok := parseID(id)
	if !ok {
		return nil, handler.ErrNotFound
	}
	return upload{f.service, u}, nil
}

// upload is one upload.
type upload struct {
	*service
	id uuid.UUID
}

// GetInfo says how far the upload is, and finishes one that was cut short between its last byte and that.
func (u upload) GetInfo(ctx context.Context) (handler.FileInfo, error) {
	at, err := u.app.Upload(ctx, callOf(ctx).who, u.id)
	if err == nil && at.Offset == at.Size && at.Received == "" {
		at, err = u.app.FinishUpload(ctx, callOf(ctx).who, u.id)
	}
	if err != nil {
		return handler.FileInfo{}, u.trouble(err)
	}
	u.say(ctx, at)
	return handler.FileInfo{ID: u.id.String(), Size: at.Size, Offset: at.Offset}, nil
}

// WriteChunk adds what has come.
func (u upload) WriteChunk(ctx context.Context, offset int64, src io.Reader) (int64, error) {
	n, err := u.app.AppendUpload(ctx, callOf(ctx).who, u.id, offset, src)
	if err != nil {
		return n, u.trouble(err)
	}
	return n, nil
}

// FinishUpload makes evidence of what has come.
func (u upload) FinishUpload(ctx context.Context) error {
	at, err := u.app.FinishUpload(ctx, callOf(ctx).who, u.id)
	if err != nil {
		return u.trouble(err)
	}
	u.say(ctx, at)
	return nil
}

// say puts into the answer how far the upload is.
func (u upload) say(ctx context.Context, at app.Upload) {
	h := callOf(ctx).w.Header()
	h.Set("Upload-Offset", strconv.FormatInt(at.Offset, 10))
	if at.Received != "" {
		h.Set(ReceivedHeader, at.Received)
	}
}

// GetReader gives nothing: evidence is read elsewhere, by those who may.
func (u upload) GetReader(context.Context) (io.ReadCloser, error) {
	return nil, errors.New("an upload is not read here")
}
