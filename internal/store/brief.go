package store

import (
	"context"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// VersionState says whether a brief version may still change.
type VersionState string

// The states of a brief version.
const (
	Draft     VersionState = "draft"
	Published VersionState = "published" // the database refuses any change
)

// BriefVersion is one version of a brief. Lists leave Source empty.
type BriefVersion struct {
	Brief       uuid.UUID `db:"brief_id"`
	Key         string
	Version     int
	Source      string // the YAML
	Title       string
	Digest      string   // SHA-256 of Source, hex
	Units       []string // codes of the qualification units it bears on
	Rules       []string // the rules of the centre that it names, each as set/rule
	State       VersionState
	Writers     []uuid.UUID // everybody who ever saved it
	WrittenBy   uuid.UUID   // who saved it last
	WriterName  string
	WrittenAt   time.Time
	PublishedBy uuid.UUID
	// PublisherName is "" for a draft.
	PublisherName string
	PublishedAt   time.Time
}

// Wrote says whether the person ever had a hand in the version's text.
func (v BriefVersion) Wrote(person uuid.UUID) bool { return slices.Contains(v.Writers, person) }

// briefHead are the columns but for the source.
const briefHead = `v.brief_id, b.key, v.version, v.title, v.digest, v.units, v.rules, v.state,
	coalesce(v.writers, ARRAY[coalesce(v.begun_by, v.written_by), v.written_by]) AS writers, v.written_by,
	w.name AS writer_name, v.written_at, coalesce(v.published_by, '00000000-0000-0000-0000-000000000000') AS published_by, coalesce(p.name, '') AS publisher_name,
	coalesce(v.published_at, '0001-01-01 00:00Z') AS published_at`

const (
	briefListColumns = briefHead + `, '' AS source`
	briefColumns     = briefHead + `, v.source`
)

const briefFrom = ` FROM brief_version v
	JOIN brief b ON b.centre_id = v.centre_id AND b.brief_id = v.brief_id
	JOIN person w ON w.centre_id = v.centre_id AND w.person_id = v.written_by
	LEFT JOIN person p ON p.centre_id = v.centre_id AND p.person_id = v.published_by `

// Briefs lists every version of every brief without its source: by key, the newest version of each first.
func (s *Store) Briefs(ctx context.Context, centre int64) ([]BriefVersion, error) {
	return all[BriefVersion](s.reading(ctx, centre), "briefs", `SELECT `+briefListColumns+briefFrom+` ORDER BY b.key, v.version DESC`, args{})
}

// BriefVersions lists the versions of one brief without their source, the newest first; an unknown brief has none.
func (s *Store) BriefVersions(ctx context.Context, centre int64, brief uuid.UUID) ([]BriefVersion, error) {
	return all[BriefVersion](s.reading(ctx, centre), "brief versions", `
		SELECT `+briefListColumns+briefFrom+` WHERE v.brief_id = @brief ORDER BY v.version DESC`, args{"brief": brief})
}

// BriefVersion reads one version with its source.
func (s *Store) BriefVersion(ctx context.Context, centre int64, brief uuid.UUID, version int) (BriefVersion, error) {
	return one[BriefVersion](s.reading(ctx, centre), "brief version", `
		SELECT `+briefColumns+briefFrom+` WHERE v.brief_id = @brief AND v.version = @version`, args{"brief": brief, "version": version})
}

// BriefSource reads the source of one version within the transaction.
func (t *Tx) BriefSource(ctx context.Context, brief uuid.UUID, version int) (string, error) {
	row, err := one[struct{ Source string }](t.reading(ctx), "brief version", `
		SELECT source FROM brief_version WHERE brief_id = @brief AND version = @version`, args{"brief": brief, "version": version})
	return row.Source, err
}

// LatestBriefByKey reads the newest version, draft or published, of the brief with the key.
func (s *Store) LatestBriefByKey(ctx context.Context, centre int64, key string) (BriefVersion, error) {
	return one[BriefVersion](s.reading(ctx, centre), "brief", `
		SELECT `+briefColumns+briefFrom+` WHERE b.key = @key ORDER BY v.version DESC LIMIT 1`, args{"key": key})
}

// AddBrief adds a brief with no version yet. A key that another brief of the centre has is Invalid.
func (t *Tx) AddBrief(ctx context.Context, id uuid.UUID, key string, at time.Time) error {
	_, err := t.exec(ctx, "add brief", `INSERT INTO brief (centre_id, brief_id, key, created_at) VALUES (@centre, @brief, @key, @at)`,
		args{"centre": t.centre, "brief": id, "key": key, "at": at})
	return err
}

// BriefDraft is what a tutor saves.
type BriefDraft struct {
	Brief  uuid.UUID
	Source string
	Title  string
	Digest string // SHA-256 of Source, hex
	Units  []string
	Rules  []string // each as set/rule
	By     uuid.UUID
	At     time.Time
	// Over is the Digest of the newest version that the tutor started from; "" where the brief had none. Anything else
	// in its place is a Conflict: somebody saved in between.
	Over string
}

// SaveDraft writes over the brief's draft, or starts its next version where the newest is published (or there is none),
// and gives the version's number.
func (t *Tx) SaveDraft(ctx context.Context, d BriefDraft) (version int, err error) {
	if err := t.lockBrief(ctx, d.Brief); err != nil {
		return 0, err
	}
	newest, err := all[BriefVersion](t.reading(ctx), "brief", `
		SELECT `+briefListColumns+briefFrom+` WHERE v.brief_id = @brief ORDER BY v.version DESC LIMIT 1`, args{"brief": d.Brief})
	if err != nil {
		return 0, err
	}
	var last BriefVersion
	if len(newest) == 1 {
		last = newest[0]
	}
	if last.Digest != d.Over {
		return 0, fault.Conflict("%s saved this brief after you opened it. Nothing of yours is written yet: keep a copy of your text, load the brief again and put your changes in.", last.WriterName)
	}
	version = last.Version
	if last.State != Draft {
		version++
	}
	_, err = t.exec(ctx, "save draft", `
		INSERT INTO brief_version (centre_id, brief_id, version, source, title, digest, units, rules, state, begun_by, written_by, written_at)
		VALUES (@centre, @brief, @version, @source, @title, @digest, @units, @rules, 'draft', @by, @by, @at)
		ON CONFLICT (centre_id, brief_id, version) DO UPDATE SET source = excluded.source, title = excluded.title,
			digest = excluded.digest, units = excluded.units, rules = excluded.rules, written_by = excluded.written_by, written_at = excluded.written_at`,
		args{"centre": t.centre, "brief": d.Brief, "version": version, "source": d.Source, "title": d.Title, "digest": d.Digest,
			"units": append([]string{}, d.Units...), "rules": append([]string{}, d.Rules...), "by": d.By, "at": d.At})
	return version, err
}

// PublishBrief publishes the draft whose digest is given. From then on the version never changes. A draft that was saved
// again, or is published already, is Conflict.
func (t *Tx) PublishBrief(ctx context.Context, brief uuid.UUID, version int, digest string, by uuid.UUID, at time.Time) error {
	if err := t.lockBrief(ctx, brief); err != nil {
		return err
	}
	v, err := one[BriefVersion](t.reading(ctx), "brief version", `
		SELECT `+briefListColumns+briefFrom+` WHERE v.brief_id = @brief AND v.version = @version`, args{"brief": brief, "version": version})
	if err != nil {
		return err
	}
	switch {
	case v.State == Published:
		return fault.Conflict("Version %d is already published. Load the page again to see it.", version)
	case v.Digest != digest:
		return fault.Conflict("%s saved this draft after you opened it. Load it again, read it, and publish what you then see.", v.WriterName)
	}
	_, err = t.exec(ctx, "publish brief", `
		UPDATE brief_version SET state = 'published', published_by = @by, published_at = @at WHERE brief_id = @brief AND version = @version`,
		args{"brief": brief, "version": version, "by": by, "at": at})
	return err
}

func (t *Tx) lockBrief(ctx context.Context, brief uuid.UUID) error {
	return t.mustFind(ctx, "brief", "lock brief", `SELECT FROM brief WHERE brief_id = @brief FOR UPDATE`, args{"brief": brief})
}
