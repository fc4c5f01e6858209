package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// Opening is what a trainee agrees to before work starts.
type Opening struct {
	PlanAgreed  bool   `json:"plan_agreed" about:"The plan is agreed with the tutor."`
	RiskSeen    bool   `json:"risk_seen" about:"The cautions and the risk assessment are read."`
	Site        string `json:"site,omitzero" validate:"omitempty,max=24" about:"The code of the private site where the work is done, never its address: letters, digits and hyphens; left out, it is done at the centre."`
	Householder string `json:"householder,omitzero" validate:"omitempty,max=120" about:"Who told the householder that photos will be taken; has to be there on a private site."`
}

func (s *service) openAttempt(ctx context.Context, who account.Caller, p idPath, _ none, b Opening) (none, error) {
	var site *app.PrivateSite
	if b.Site != "" || b.Householder != "" {
		site = &app.PrivateSite{Code: b.Site, Householder: b.Householder}
	}
	return none{}, s.app.OpenAttemptOn(ctx, who, p.ID, b.PlanAgreed, b.RiskSeen, site)
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
	Instrument uuid.UUID   `json:"instrument" validate:"omitempty" about:"What it was read with: the id of an instrument that was chosen for the attempt."`
	CapturedAt time.Time   `json:"captured_at" validate:"omitempty" about:"By the phone's clock."`
	Clock      *int64      `json:"clock_offset_ms,omitempty" validate:"omitempty" about:"By how many milliseconds the server's clock was ahead of the phone's when the phone last heard of it before capturing this; left out where it never did."`
}

// sentAt gives the entries as the application takes them; they all went off at one moment.
func sentAt(at time.Time, es []NewEntry) []app.NewEntry {
	return each(es, func(e NewEntry) app.NewEntry {
		out := e.entry()
		out.SentAt = at
		return out
	})
}

func (e NewEntry) entry() app.NewEntry {
	return app.NewEntry{
		ID: e.ID, Note: e.Note, Instrument: e.Instrument, CapturedAt: e.CapturedAt, PhoneClock: app.PhoneClock{Believed: e.Clock},
		Entry: marking.Entry{Item: e.Item, Part: e.Part, Phase: e.Phase, Text: e.Text, Unit: e.Unit, Working: e.Working},
	}
}

// NewEntries is lines to be kept, all of them or none.
type NewEntries struct {
	SentAt  time.Time  `json:"sent_at,omitzero" validate:"omitempty" about:"By the phone's clock, as it sends this."`
	Entries []NewEntry `json:"entries" validate:"min=1,max=500,dive"`
}

func (s *service) recordEntries(ctx context.Context, who account.Caller, p idPath, _ none, b NewEntries) (none, error) {
	return none{}, s.app.RecordEntries(ctx, who, p.ID, sentAt(b.SentAt, b.Entries))
}

// HandOver is what goes with a hand-over: the declaration, and lines that were not sent before.
type HandOver struct {
	OwnWork bool       `json:"own_work" about:"This is the trainee's own work."`
	Entries []NewEntry `json:"entries" validate:"omitempty,max=500,dive"`
	Seal    *Seal      `json:"seal,omitempty" validate:"omitempty" about:"The list of what is handed over; left out, what the server has is the list."`
	SentAt  time.Time  `json:"sent_at,omitzero" validate:"omitempty" about:"By the phone's clock, as it sends this."`
}

// Seal is the list of what is handed over, made on the phone. What is on it belongs to the set whenever its bytes arrive; what
// comes later and is not on it is held until a tutor takes it in.
type Seal struct {
	ID       uuid.UUID `json:"id" validate:"required" about:"Made where it was sealed: the same again has no effect."`
	SealedAt time.Time `json:"sealed_at" validate:"required" about:"By the phone's clock."`
	Clock    *int64    `json:"clock_offset_ms,omitempty" validate:"omitempty" about:"As of an entry, when it was sealed."`
	Items    []Listed  `json:"items" validate:"max=5000,dive"`
}

// Listed is one thing on a sealed list.
type Listed struct {
	ID     uuid.UUID         `json:"id" validate:"required"`
	Kind   decision.SealKind `json:"kind" validate:"required,oneof=entry file"`
	Digest string            `json:"digest" validate:"required,len=64,hexadecimal" about:"SHA-256: of a file's bytes; of an entry's item, part, phase, text, unit and working in UTF-8, joined by U+001F."`
}

func listOf(ls []Listed) []decision.Listed {
	return each(ls, func(l Listed) decision.Listed { return decision.Listed(l) })
}

// HandedOver is how far a hand-over has come.
type HandedOver struct {
	State   decision.State `json:"state"`
	Awaited int            `json:"awaited" about:"Things on the sealed list whose bytes have not come yet; the marker waits for them."`
}

func (s *service) handOver(ctx context.Context, who account.Caller, p idPath, _ none, b HandOver) (HandedOver, error) {
	var seal *app.NewSeal
	if b.Seal != nil {
		seal = &app.NewSeal{
			ID: b.Seal.ID, At: b.Seal.SealedAt, PhoneClock: app.PhoneClock{SentAt: b.SentAt, Believed: b.Seal.Clock},
			Items: listOf(b.Seal.Items),
		}
	}
	h, err := s.app.HandOverSealed(ctx, who, p.ID, sentAt(b.SentAt, b.Entries), b.OwnWork, seal)
	return HandedOver(h), err
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
	Clock    *int64    `query:"clock_offset_ms" validate:"omitempty" about:"As of an entry."`
	SentAt   time.Time `query:"sent_at" validate:"omitempty" about:"By the phone's clock, as it sends this."`
}

func (s *service) addFile(ctx context.Context, who account.Caller, p filePath, q fileQuery, b upload) (File, error) {
	f := app.NewFile{ID: p.File, Item: q.Item, Name: q.Name, Caption: q.Caption, DeviceAt: q.DeviceAt, Digest: b.Digest, PhoneClock: app.PhoneClock{SentAt: q.SentAt, Believed: q.Clock}}
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
		TakenAt: e.TakenAt.UTC(), DeviceAt: e.DeviceAt.UTC(), ReceivedAt: e.ReceivedAt.UTC(),
	}
}

func (s *service) file(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (content, error) {
	f, err := s.app.OpenFile(ctx, who, p.ID, false)
	return opened(contentOf(f), err)
}

func (s *service) original(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (content, error) {
	f, err := s.app.OpenOriginal(ctx, who, p.ID)
	return opened(contentOf(f), err)
}

// Cover is a rectangle over a photo, in parts of the upright picture from its upper left corner.
type Cover struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	W float64 `json:"w"`
	H float64 `json:"h"`
}

// Covers is what is laid over a photo besides what lies there.
type Covers struct {
	Covers []Cover `json:"covers" validate:"min=1,max=100,dive"`
}

func (s *service) coverFile(ctx context.Context, who account.Caller, p idPath, _ none, b Covers) (none, error) {
	return none{}, s.app.CoverFile(ctx, who, p.ID, each(b.Covers, func(c Cover) app.Cover { return app.Cover(c) }))
}

func (s *service) nothingToCover(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.NothingToCover(ctx, who, p.ID)
}

// Withdrawal says why an original is taken away.
type Withdrawal struct {
	Words string `json:"words" validate:"required,max=4000"`
}

func (s *service) withdrawFile(ctx context.Context, who account.Caller, p idPath, _ none, b Withdrawal) (none, error) {
	return none{}, s.app.WithdrawFile(ctx, who, p.ID, b.Words)
}

func (s *service) preview(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (content, error) {
	f, err := s.app.OpenFile(ctx, who, p.ID, true)
	return opened(contentOf(f), err)
}

// contentOf is a file's bytes; pictures are shown, everything else is kept.
func contentOf(f app.File) content {
	return content{
		ReadSeekCloser: f.Content, name: f.Name, media: f.Type, digest: f.Shown,
		inline: f.Type == "image/jpeg" || f.Type == "image/png",
	}
}
