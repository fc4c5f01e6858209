package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// Opening is what a trainee agrees to before work starts.
type Opening struct {
	PlanAgreed bool `json:"plan_agreed" about:"The plan is agreed with the tutor."`
	RiskSeen   bool `json:"risk_seen" about:"The cautions and the risk assessment are read."`
}

func (s *service) openAttempt(ctx context.Context, who account.Caller, p idPath, _ none, b Opening) (none, error) {
	return none{}, s.app.OpenAttempt(ctx, who, p.ID, b.PlanAgreed, b.RiskSeen)
}

// NewEntry is one line as it was typed. Its id is made where it was typed: the same again has no effect.
type NewEntry struct {
	ID         uuid.UUID   `json:"id" validate:"required"`
	Item       string      `json:"item" validate:"required,max=200"`
	Part       string      `json:"part" validate:"omitempty,max=200" about:"The repeat's number, row/check of a grid, a step's key; left out where the item has one place."`
	Phase      brief.Phase `json:"phase" validate:"omitempty,oneof=as-found as-left"`
	Text       string      `json:"text" validate:"max=4000" about:"As typed; empty clears the line."`
	Unit       string      `json:"unit" validate:"omitempty,max=64"`
	Working    string      `json:"working" validate:"omitempty,max=16000"`
	Note       string      `json:"note" validate:"omitempty,max=4000"`
	CapturedAt time.Time   `json:"captured_at" validate:"omitempty" about:"By the phone's clock."`
}

func (e NewEntry) entry() app.NewEntry {
	return app.NewEntry{
		ID: e.ID, Note: e.Note, CapturedAt: e.CapturedAt,
		Entry: marking.Entry{Item: e.Item, Part: e.Part, Phase: e.Phase, Text: e.Text, Unit: e.Unit, Working: e.Working},
	}
}

// NewEntries is lines to be kept, all of them or none.
type NewEntries struct {
	Entries []NewEntry `json:"entries" validate:"min=1,max=500,dive"`
}

func (s *service) recordEntries(ctx context.Context, who account.Caller, p idPath, _ none, b NewEntries) (none, error) {
	return none{}, s.app.RecordEntries(ctx, who, p.ID, each(b.Entries, NewEntry.entry))
}

// HandOver is what goes with a hand-over: the declaration, and lines that were not sent before.
type HandOver struct {
	OwnWork bool       `json:"own_work" about:"This is the trainee's own work."`
	Entries []NewEntry `json:"entries" validate:"omitempty,max=500,dive"`
}

func (s *service) handOver(ctx context.Context, who account.Caller, p idPath, _ none, b HandOver) (none, error) {
	return none{}, s.app.HandOver(ctx, who, p.ID, each(b.Entries, NewEntry.entry), b.OwnWork)
}

type filePath struct {
	ID   uuid.UUID `path:"id" about:"The attempt's."`
	File uuid.UUID `path:"file" about:"Made where the file was captured: the same again has no effect."`
}

type fileQuery struct {
	Item     string    `query:"item" validate:"required,max=200" about:"The key of the item that the file is for."`
	Name     string    `query:"name" validate:"omitempty,max=255" about:"The file's name where it was captured."`
	Caption  string    `query:"caption" validate:"omitempty,max=4000"`
	DeviceAt time.Time `query:"device_at" validate:"omitempty" about:"When it was captured, by the phone's clock."`
}

func (s *service) addFile(ctx context.Context, who account.Caller, p filePath, q fileQuery, b upload) (File, error) {
	f := app.NewFile{ID: p.File, Item: q.Item, Name: q.Name, Caption: q.Caption, DeviceAt: q.DeviceAt, Digest: b.Digest}
	e, err := s.app.AddFile(ctx, who, p.ID, f, b)
	return keptFile(e), err
}

func keptFile(e app.Evidence) File {
	w, h := e.Width, e.Height
	if e.Orientation >= 5 { // EXIF 5 to 8 lie on their side
		w, h = h, w
	}
	return File{
		ID: e.ID, Name: e.Name, Caption: e.Caption, MediaType: e.MediaType, Size: int(e.Size), Width: w, Height: h, SHA256: e.Digest,
		TakenAt: e.TakenAt.UTC(), DeviceAt: e.DeviceAt.UTC(), ReceivedAt: e.ReceivedAt.UTC(), BeforeRelease: e.BeforeRelease,
	}
}

func (s *service) file(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (content, error) {
	f, err := s.app.OpenFile(ctx, who, p.ID, false)
	return opened(contentOf(f, f.Digest), err)
}

func (s *service) preview(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (content, error) {
	f, err := s.app.OpenFile(ctx, who, p.ID, true)
	digest := f.PreviewDigest
	if digest == "" { // before a preview is made the whole picture stands in for it
		digest = f.Digest
	}
	return opened(contentOf(f, digest), err)
}

// contentOf is a file's bytes; pictures are shown, everything else is kept.
func contentOf(f app.File, digest string) content {
	return content{
		ReadSeekCloser: f.Content, name: f.Name, media: f.Type, digest: digest,
		inline: f.Type == "image/jpeg" || f.Type == "image/png",
	}
}
