package app

import (
	"context"
	"crypto/pbkdf2"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/big"
	"slices"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// codeRounds is the rounds of PBKDF2 that a phone checks a code by: about a tenth of a second on a cheap phone, and with 10^12
// codes more than anybody gets through in the day for which one is good (our own value).
const codeRounds = 100_000

// SpotCheck is what a trainee's phone checks the code of one day by.
type SpotCheck struct {
	Day    string `json:"day"`
	Salt   string `json:"salt"` // hex
	Rounds int    `json:"rounds"`
	Check  string `json:"check"` // PBKDF2-SHA256 of the code, hex
}

// SpotRow is a hold point that the caller may release on the spot, with the codes of the days.
type SpotRow struct {
	Attempt     uuid.UUID
	Trainee     string
	Title       string
	Stage       string // its key
	Number      int
	StageTitle  string
	Show        string
	Entitlement string
	Codes       []SpotCode
}

// SpotCode is the code of a day.
type SpotCode struct {
	Day  string `json:"day"`
	Code string `json:"code"` // twelve digits
}

// spotDays are the days for which codes are made: a phone that was on line today may be without signal tomorrow.
func (a *App) spotDays() []string {
	now := a.now().In(London())
	return []string{onDay(now), onDay(now.AddDate(0, 0, 1))}
}

// newCode makes the code of a hold point and day.
func newCode(attempt uuid.UUID, stage, day string) (store.HoldCode, error) {
	n, err := rand.Int(rand.Reader, big.NewInt(1_000_000_000_000))
	if err != nil {
		return store.HoldCode{}, fmt.Errorf("make a code: %w", err)
	}
	salt := make([]byte, 16)
	if _, err := rand.Read(salt); err != nil {
		return store.HoldCode{}, fmt.Errorf("make a salt: %w", err)
	}
	return store.HoldCode{Attempt: attempt, Stage: stage, Day: day, Code: fmt.Sprintf("%012d", n), Salt: salt}, nil
}

// SpotChecks gives the caller, for each hold point of their own open attempt that stands, what their phone checks the codes of
// today and tomorrow by; nothing where there is none.
func (a *App) SpotChecks(ctx context.Context, c account.Caller, s Sheet) (map[string][]SpotCheck, error) {
	var wanted []store.HoldCode
	for _, st := range s.Stages {
		if !s.Record || st.Hold == nil || st.Hold.Release != nil {
			continue
		}
		for _, day := range a.spotDays() {
			code, err := newCode(s.ID, st.Key, day)
			if err != nil {
				return nil, err
			}
			wanted = append(wanted, code)
		}
	}
	codes, err := a.holdCodes(ctx, c, wanted)
	if err != nil {
		return nil, err
	}
	if err := a.proofs(ctx, c, codes); err != nil {
		return nil, err
	}
	checks := map[string][]SpotCheck{}
	for _, k := range codes {
		checks[k.Stage] = append(checks[k.Stage], SpotCheck{Day: k.Day, Salt: hex.EncodeToString(k.Salt), Rounds: codeRounds, Check: hex.EncodeToString(k.Proof)})
	}
	return checks, nil
}

// holdCodes keeps the codes that are new and gives those that hold.
func (a *App) holdCodes(ctx context.Context, c account.Caller, wanted []store.HoldCode) (codes []store.HoldCode, err error) {
	if len(wanted) == 0 {
		return nil, nil
	}
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		codes, err = t.HoldCodes(ctx, wanted)
		return err
	})
	return codes, err
}

// proofs fills in what the codes are checked by, and keeps it: it takes a while, outside any transaction.
func (a *App) proofs(ctx context.Context, c account.Caller, codes []store.HoldCode) error {
	var fresh []store.HoldCode
	for i := range codes {
		if len(codes[i].Proof) > 0 {
			continue
		}
		proof, err := pbkdf2.Key(sha256.New, codes[i].Code, codes[i].Salt, codeRounds, sha256.Size)
		if err != nil {
			return fmt.Errorf("make the proof of a code: %w", err)
		}
		codes[i].Proof = proof
		fresh = append(fresh, codes[i])
	}
	if len(fresh) == 0 {
		return nil
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		for _, k := range fresh {
			if err := t.SetProof(ctx, k); err != nil {
				return err
			}
		}
		return nil
	})
}

// SpotBoard lists the hold points that stand before the caller's trainees, and that the caller is entitled to release today or
// tomorrow, with the codes for it: what their phone has to have with it where there is no signal.
func (a *App) SpotBoard(ctx context.Context, c account.Caller) ([]SpotRow, error) {
	if err := account.May(c, account.ReleaseHold, account.Teaches); err != nil {
		return nil, err
	}
	cohorts, err := a.db.CohortsOf(ctx, c.Centre, c.Person, store.PartTutor)
	if err != nil {
		return nil, err
	}
	var rows []SpotRow
	for _, k := range cohorts {
		b, err := a.db.Board(ctx, c.Centre, k.ID)
		if err != nil {
			return nil, err
		}
		more, err := a.spotRows(c, b)
		if err != nil {
			return nil, err
		}
		rows = append(rows, more...)
	}
	return rows, a.fillCodes(ctx, c, rows)
}

// spotRows are the hold points of one cohort.
func (a *App) spotRows(c account.Caller, b store.Board) ([]SpotRow, error) {
	var rows []SpotRow
	for i, task := range b.Tasks {
		text := b.Sources[i].Source
		set, err := a.briefs.brief(brief.Digest([]byte(text)), func() (string, error) { return text, nil })
		if err != nil {
			return nil, err
		}
		for _, at := range b.Attempts {
			if at.Task != task.ID || at.State != decision.Open || at.Trainee == c.Person {
				continue
			}
			for n, st := range set.Stages {
				if st.Hold == nil || slices.Contains(at.Released, st.Key) {
					continue
				}
				row := SpotRow{
					Attempt: at.Attempt, Trainee: at.TraineeName, Title: set.Title, Stage: st.Key, Number: n + 1, StageTitle: st.Title,
					Show: st.Hold.Show, Entitlement: st.Hold.Entitlement,
				}
				for _, day := range a.spotDays() {
					if registered(c, st.Hold, brief.Day(day)) {
						row.Codes = append(row.Codes, SpotCode{Day: day})
					}
				}
				if len(row.Codes) > 0 {
					rows = append(rows, row)
				}
			}
		}
	}
	return rows, nil
}

// fillCodes puts the digits into the rows.
func (a *App) fillCodes(ctx context.Context, c account.Caller, rows []SpotRow) error {
	var wanted []store.HoldCode
	for _, r := range rows {
		for _, k := range r.Codes {
			code, err := newCode(r.Attempt, r.Stage, k.Day)
			if err != nil {
				return err
			}
			wanted = append(wanted, code)
		}
	}
	codes, err := a.holdCodes(ctx, c, wanted)
	if err != nil {
		return err
	}
	digits := map[string]string{}
	key := func(attempt uuid.UUID, stage, day string) string { return attempt.String() + " " + day + " " + stage }
	for _, k := range codes {
		digits[key(k.Attempt, k.Stage, k.Day)] = k.Code
	}
	for i := range rows {
		for j := range rows[i].Codes {
			k := &rows[i].Codes[j]
			if k.Code = digits[key(rows[i].Attempt, rows[i].Stage, k.Day)]; k.Code == "" {
				return fault.NotFound("A hold point went away while this was put together. Load the page again.")
			}
		}
	}
	return nil
}
