package seed_test

import (
	"bytes"
	"sync"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/decision"
	"witnessmark/internal/localpg/testpg"
	"witnessmark/internal/marking"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
	"witnessmark/seed"
	"witnessmark/seed/picture"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// TestLoad fills a real database and looks at what an outsider would: attempts in every state of a demonstration, a
// finished portfolio, times in their order, and nothing in the future.
func TestLoad(t *testing.T) {
	db := storetest.New(t)
	blobs, err := blob.OpenFolder(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	a := app.New(db, blobs, nil)
	if err := seed.LoadWith(t.Context(), a, db, oncePerScene()); err != nil {
		t.Fatal(err)
	}
	tutor, err := a.SignIn(t.Context(), "ellingham", seed.Password)
	if err != nil {
		t.Fatal(err)
	}
	cohorts, err := a.Cohorts(t.Context(), tutor)
	if err != nil {
		t.Fatal(err)
	}
	states, photos, left := map[decision.State]int{}, 0, 0
	for _, k := range cohorts {
		board, err := a.Board(t.Context(), tutor, k.ID)
		if err != nil {
			t.Fatal(err)
		}
		left += len(board.Left)
		for _, task := range board.Tasks {
			for _, row := range task.Rows {
				for _, st := range append(row.Earlier, row.Standing) {
					states[st.State]++
					s, err := a.Sheet(t.Context(), tutor, st.Attempt)
					if err != nil {
						t.Fatal(err)
					}
					photos += look(t, s)
				}
			}
		}
	}
	for _, want := range []decision.State{
		decision.Planned, decision.Open, decision.HandedOver, decision.Checked, decision.Decided, decision.MoreToDo,
		decision.SignedOff, decision.SafetyStopped,
	} {
		if states[want] == 0 {
			t.Errorf("no attempt is %s: %v", want, states)
		}
	}
	if n := states[decision.HandedOver] + states[decision.Checked] + states[decision.Decided]; n != 12 {
		t.Errorf("%d attempts wait for an evening's marking, want 12", n)
	}
	if left != 1 {
		t.Errorf("%d trainees left, want 1", left)
	}
	t.Logf("%v, %d photos", states, photos)
	ready(t, a)
}

// oncePerScene draws each scene once and gives it the time it is asked for. The pictures are real ones; only their
// variety is missing.
func oncePerScene() func(picture.Shot, time.Time) ([]byte, error) {
	var lock sync.Mutex
	known := map[picture.Scene][]byte{}
	return func(s picture.Shot, at time.Time) ([]byte, error) {
		lock.Lock()
		defer lock.Unlock()
		if known[s.Scene] == nil {
			b, err := seed.Photo(s, at)
			if err != nil {
				return nil, err
			}
			known[s.Scene] = b
		}
		return photo.WithEXIF(known[s.Scene], photo.EXIF{TakenAt: at, ZoneStated: true, Make: "Bay camera", Orientation: 1})
	}
}

// TestPhotoSaysWhatAPhoneWould reads a drawn photo as evidence is read.
func TestPhotoSaysWhatAPhoneWould(t *testing.T) {
	at := time.Date(2026, 11, 3, 10, 20, 5, 0, time.UTC)
	for _, c := range []struct{ number, orientation int }{{1, 1}, {2, 6}} {
		b, err := seed.Photo(picture.Shot{Scene: picture.Gauge, Number: c.number}, at)
		if err != nil {
			t.Fatal(err)
		}
		info, err := photo.Check(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			t.Fatal(err)
		}
		if info.Media != photo.JPEG || info.Width != picture.Width || info.Height != picture.Height || info.Orientation != c.orientation ||
			!info.TakenAt.Equal(at) || !info.ZoneStated || info.Make == "" {
			t.Errorf("photo %d says %+v", c.number, info)
		}
	}
}

// look holds the times of one sheet against each other and counts its files.
func look(t *testing.T, s app.Sheet) (files int) {
	t.Helper()
	now := time.Now()
	for _, st := range s.Stages {
		for _, it := range st.Items {
			// Anna's one wrong row points at no wire.
			if d := it.Diagnosis; d != nil && s.Trainee == "Tomás Ó Ruairc" && (len(d.Likely) != 1 || d.Likely[0].Key != "hw-off-wire") {
				t.Errorf("%s, %s: the wrong cells point at %+v, want the wire that the script leaves out", s.Trainee, it.Key, d.Likely)
			}
			for _, l := range it.Lines {
				if f := l.Finding; it.Sequence != nil && f != nil && (f.Verdict != marking.Correct || len(f.Flags) > 0) {
					t.Errorf("%s, %s: told in their order and with their waits, and it is %s: %s %v", s.Trainee, it.Key, f.Verdict, f.Tutor, f.Flags)
				}
				if e := l.Entry; e != nil && (e.CapturedAt.After(e.ReceivedAt) || e.ReceivedAt.After(now)) {
					t.Errorf("%s, %s: captured %v, received %v", s.Trainee, it.Key, e.CapturedAt, e.ReceivedAt)
				}
			}
			for _, f := range it.Files {
				files++
				if !f.TakenAt.Equal(f.DeviceAt) || f.DeviceAt.After(f.ReceivedAt) || f.ReceivedAt.After(now) {
					t.Errorf("%s, %s: taken %v, on the phone %v, received %v", s.Trainee, f.Name, f.TakenAt, f.DeviceAt, f.ReceivedAt)
				}
				if w := f.Order.Words(f.HoldOf); w != "" {
					t.Errorf("%s, %s was taken %s", s.Trainee, f.Name, w)
				}
			}
		}
	}
	return files
}

// ready wants one portfolio, finished.
func ready(t *testing.T, a *app.App) {
	t.Helper()
	manager, err := a.SignIn(t.Context(), "farrowby", seed.Password)
	if err != nil {
		t.Fatal(err)
	}
	ps, err := a.Portfolios(t.Context(), manager)
	if err != nil {
		t.Fatal(err)
	}
	if len(ps) != 1 || ps[0].State != store.PortfolioReady || ps[0].Size < 1<<20 {
		t.Errorf("portfolios: got %+v, want one that is ready and holds its photos", ps)
	}
}
