package store

import (
	"context"
	"encoding/hex"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// HoldCode is the one-use code with which a hold point may be released without signal on one day.
type HoldCode struct {
	Attempt uuid.UUID `db:"attempt_id"`
	Stage   string
	Day     string // 2006-01-02, in London
	Code    string // twelve digits
	Salt    []byte
	Proof   []byte // PBKDF2 of the code; nil until it was asked for
}

// HoldCodes keeps the codes of days that have none yet and reads those of all the codes' attempts and days, by attempt, stage and
// day. Of the codes given only the keys count where there is one already.
func (t *Tx) HoldCodes(ctx context.Context, codes []HoldCode) ([]HoldCode, error) {
	n := len(codes)
	attempts, stages, days, digits, salts := make([]uuid.UUID, n), make([]string, n), make([]string, n), make([]string, n), make([][]byte, n)
	for i, c := range codes {
		attempts[i], stages[i], days[i], digits[i], salts[i] = c.Attempt, c.Stage, c.Day, c.Code, c.Salt
	}
	if _, err := t.exec(ctx, "add hold codes", `
		INSERT INTO hold_code (centre_id, attempt_id, stage, day, code, salt)
		SELECT @centre, n.attempt, n.stage, n.day, n.code, n.salt
		FROM unnest(@attempts::uuid[], @stages::text[], @days::text[]::date[], @codes::text[], @salts::bytea[]) AS n (attempt, stage, day, code, salt)
		ON CONFLICT (centre_id, attempt_id, stage, day) DO NOTHING`,
		args{"centre": t.centre, "attempts": attempts, "stages": stages, "days": days, "codes": digits, "salts": salts}); err != nil {
		return nil, err
	}
	return all[HoldCode](t.reading(ctx), "hold codes", `
		SELECT h.attempt_id, h.stage, h.day::text AS day, h.code, h.salt, h.proof FROM hold_code h
		WHERE (h.attempt_id, h.stage, h.day) IN (SELECT * FROM unnest(@attempts::uuid[], @stages::text[], @days::text[]::date[]))
		ORDER BY h.attempt_id, h.stage, h.day`, args{"attempts": attempts, "stages": stages, "days": days})
}

// SetProof keeps what a phone checks a code by.
func (t *Tx) SetProof(ctx context.Context, c HoldCode) error {
	return t.mustFind(ctx, "hold code", "set the proof of a hold code", `
		UPDATE hold_code SET proof = @proof WHERE attempt_id = @attempt AND stage = @stage AND day = @day::text::date`,
		args{"proof": c.Proof, "attempt": c.Attempt, "stage": c.Stage, "day": c.Day})
}

// CodesOf reads the codes of an attempt: of every stage and day.
func (t *Tx) CodesOf(ctx context.Context, attempt uuid.UUID) ([]HoldCode, error) {
	return all[HoldCode](t.reading(ctx), "hold codes", `
		SELECT h.attempt_id, h.stage, h.day::text AS day, h.code, h.salt, h.proof FROM hold_code h WHERE h.attempt_id = @attempt ORDER BY h.stage, h.day`,
		args{"attempt": attempt})
}

// spotRow is what a claim and a release have in common.
type spotRow struct {
	ID         uuid.UUID
	Attempt    uuid.UUID `db:"attempt_id"`
	Stage      string
	Day        string
	At         time.Time
	ReceivedAt time.Time
	Clock
	By      uuid.UUID `db:"by_id"`
	State   decision.SpotState
	Refusal decision.Refusal
	Why     string
}

func (r spotRow) verdict() decision.SpotVerdict {
	return decision.SpotVerdict{State: r.State, Refusal: r.Refusal, Why: r.Why}
}

const spotColumns = `c.attempt_id, c.stage, c.day::text AS day, c.at, c.received_at, c.offset_ms, c.clock_steady, c.by_id, c.state, c.refusal, c.why`

// listed is a thing on a list as it is kept with a claim.
type listed struct {
	ID     uuid.UUID         `json:"id"`
	Kind   decision.SealKind `json:"kind"`
	Digest string            `json:"digest"`
}

type claimRow struct {
	spotRow
	Items []listed
	MAC   string `db:"mac"`
}

func (r claimRow) claim() decision.SpotClaim {
	c := decision.SpotClaim{
		ID: r.ID, Stage: r.Stage, Day: r.Day, Made: r.moment(r.At), ReceivedAt: r.ReceivedAt, MAC: r.MAC, By: r.By, SpotVerdict: r.verdict(),
	}
	for _, it := range r.Items {
		c.Items = append(c.Items, decision.Listed(it))
	}
	return c
}

type releaseRow struct {
	spotRow
	Number string
	Words  string
	ByName string
}

func (r releaseRow) release() decision.SpotRelease {
	return decision.SpotRelease{
		ID: r.ID, Stage: r.Stage, Day: r.Day, Number: r.Number, Words: r.Words, Made: r.moment(r.At), ReceivedAt: r.ReceivedAt,
		By: r.By, ByName: r.ByName, SpotVerdict: r.verdict(),
	}
}

// clockArgs is a moment of a phone's as the database keeps it.
func clockArgs(a args, m decision.Moment) args {
	a["at"], a["offset_ms"], a["clock_steady"] = m.At, m.Offset.Milliseconds(), m.Steady
	return a
}

// AddSpotClaim keeps a claim; the same id again has no effect.
func (t *Tx) AddSpotClaim(ctx context.Context, attempt uuid.UUID, c decision.SpotClaim) error {
	mac, err := hex.DecodeString(c.MAC)
	if err != nil {
		return fmt.Errorf("keep a claim: %w", err)
	}
	items := make([]listed, len(c.Items))
	for i, it := range c.Items {
		items[i] = listed(it)
	}
	_, err = t.exec(ctx, "add spot claim", `
		INSERT INTO spot_claim (centre_id, claim_id, attempt_id, stage, day, at, offset_ms, clock_steady, received_at, items, mac, by_id, state)
		VALUES (@centre, @claim, @attempt, @stage, @day::text::date, @at, @offset_ms, @clock_steady, @received, @items, @mac, @by, 'waiting')
		ON CONFLICT (centre_id, claim_id) DO NOTHING`,
		clockArgs(args{"centre": t.centre, "claim": c.ID, "attempt": attempt, "stage": c.Stage, "day": c.Day, "received": c.ReceivedAt,
			"items": items, "mac": mac, "by": c.By}, c.Made))
	return err
}

// AddSpotRelease keeps a release; the same id again has no effect.
func (t *Tx) AddSpotRelease(ctx context.Context, attempt uuid.UUID, r decision.SpotRelease) error {
	_, err := t.exec(ctx, "add spot release", `
		INSERT INTO spot_release (centre_id, release_id, attempt_id, stage, day, at, offset_ms, clock_steady, received_at, evidence_number, words, by_id, by_name, state)
		VALUES (@centre, @release, @attempt, @stage, @day::text::date, @at, @offset_ms, @clock_steady, @received, @number, @words, @by, @by_name, 'waiting')
		ON CONFLICT (centre_id, release_id) DO NOTHING`,
		clockArgs(args{"centre": t.centre, "release": r.ID, "attempt": attempt, "stage": r.Stage, "day": r.Day, "received": r.ReceivedAt,
			"number": r.Number, "words": r.Words, "by": r.By, "by_name": r.ByName}, r.Made))
	return err
}

// ClaimedElsewhere says whether a claim with the MAC came before for another attempt, or whether the id is another attempt's.
func (t *Tx) ClaimedElsewhere(ctx context.Context, attempt uuid.UUID, c decision.SpotClaim) (bool, error) {
	mac, err := hex.DecodeString(c.MAC)
	if err != nil {
		return false, fmt.Errorf("look for a claim: %w", err)
	}
	row, err := one[struct{ There bool }](t.reading(ctx), "claims", `
		SELECT EXISTS (SELECT FROM spot_claim WHERE attempt_id <> @attempt AND received_at < @received AND (mac = @mac OR claim_id = @claim)) AS there`,
		args{"attempt": attempt, "mac": mac, "claim": c.ID, "received": c.ReceivedAt})
	return row.There, err
}

// SpotsWait says whether a release on the spot of the attempt is not settled yet.
func (t *Tx) SpotsWait(ctx context.Context, attempt uuid.UUID) (bool, error) {
	row, err := one[struct{ There bool }](t.reading(ctx), "claims", `
		SELECT EXISTS (SELECT FROM spot_claim WHERE attempt_id = @attempt AND state <> 'confirmed') AS there`, args{"attempt": attempt})
	return row.There, err
}

// SettleClaim and SettleRelease keep where one stands.
func (t *Tx) SettleClaim(ctx context.Context, id uuid.UUID, v decision.SpotVerdict) error {
	return t.mustFind(ctx, "claim", "settle spot claim", `UPDATE spot_claim SET state = @state, refusal = @refusal, why = @why WHERE claim_id = @id`,
		args{"id": id, "state": string(v.State), "refusal": string(v.Refusal), "why": v.Why})
}

// SettleRelease is SettleClaim for what the releaser's phone told.
func (t *Tx) SettleRelease(ctx context.Context, id uuid.UUID, v decision.SpotVerdict) error {
	return t.mustFind(ctx, "release", "settle spot release", `UPDATE spot_release SET state = @state, refusal = @refusal, why = @why WHERE release_id = @id`,
		args{"id": id, "state": string(v.State), "refusal": string(v.Refusal), "why": v.Why})
}

// queueSpots queues what the phones told of releases on the spot.
func (w *sheetRows) queueSpots(r *reader, a args) {
	queue(r, &w.claims, `SELECT c.claim_id AS id, `+spotColumns+`, c.items, encode(c.mac, 'hex') AS mac
		FROM spot_claim c WHERE c.attempt_id = ANY(@ids) ORDER BY c.attempt_id, c.received_at, c.claim_id`, a)
	queue(r, &w.releases, `SELECT c.release_id AS id, `+spotColumns+`, c.evidence_number AS number, c.words, c.by_name
		FROM spot_release c WHERE c.attempt_id = ANY(@ids) ORDER BY c.attempt_id, c.received_at, c.release_id`, a)
}
