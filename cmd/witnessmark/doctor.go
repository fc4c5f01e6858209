package main

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"witnessmark/internal/heif"
	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
)

type doctorCmd struct {
	Install installation `embed:""`
	Reach   reach        `embed:""`
	Where   backups      `embed:""`
	Letters letters      `embed:""`
	URL     string       `help:"Address at which people reach this installation, for the links in letters." variable:"WITNESSMARK_URL" placeholder:"URL"`
}

// finding is one thing that doctor looked at; an empty advice means that it is in order.
type finding struct {
	about, found, advice string
}

// Run looks at everything and prints it. Exit code 1 says that something is missing or unsafe.
func (c *doctorCmd) Run(w *world) error {
	now := time.Now()
	findings := append(c.database(w.ctx), c.evidence(), heic(w.ctx), c.Reach.examine(now), c.backups(now), c.Letters.examine(w.ctx, c.URL))
	findings = append(findings, c.logs(w.ctx, now)...)
	bad := 0
	for _, f := range findings {
		mark := "in order "
		if f.advice != "" {
			mark = "look here"
			bad++
		}
		fmt.Fprintf(w.out, "%s  %s: %s\n", mark, f.about, f.found)
		if f.advice != "" {
			fmt.Fprintf(w.out, "           %s\n", f.advice)
		}
	}
	if bad > 0 {
		return exit(1)
	}
	return nil
}

// database looks at where the data is kept and as whom.
func (c *doctorCmd) database(ctx context.Context) []finding {
	in := c.Install
	if in.DatabaseURL == "" {
		bin, err := localpg.Find("")
		if err != nil {
			return []finding{{"database", "no DATABASE_URL, and no PostgreSQL that can be used on this machine", err.Error()}}
		}
		return []finding{{"database", "a private PostgreSQL in " + filepath.Join(in.dir(), "postgresql") + ", with the programs in " + bin, ""}}
	}
	out := []finding{{about: "database", found: "DATABASE_URL"}}
	if u, err := url.Parse(in.DatabaseURL); err == nil && plainTransport(u) {
		out = append(out, finding{"database connection", "may travel unencrypted to " + u.Host, "Add sslmode=verify-full to DATABASE_URL, or keep the database on this machine or a private network."})
	}
	db, err := store.Open(ctx, in.DatabaseURL)
	if err != nil {
		out[0].advice = "It does not answer: " + err.Error()
		return out
	}
	defer db.Close()
	if err := db.Check(ctx); err != nil {
		out[0].advice = err.Error()
	}
	return out
}

// plainTransport says whether the address reaches another machine without insisting on encryption.
func plainTransport(u *url.URL) bool {
	host := u.Hostname()
	if host == "" || host == "localhost" || strings.HasPrefix(host, "127.") || host == "::1" {
		return false
	}
	mode := u.Query().Get("sslmode")
	return mode != "require" && mode != "verify-ca" && mode != "verify-full"
}

// evidence looks at the folder for evidence.
func (c *doctorCmd) evidence() finding {
	f := finding{about: "evidence folder", found: c.Install.evidenceDir()}
	info, err := os.Stat(f.found)
	switch {
	case os.IsNotExist(err):
		f.found += " (not there yet; it is made at the first start)"
		return f
	case err != nil:
		f.advice = err.Error()
		return f
	case !info.IsDir():
		f.advice = "That is a file. Name a folder with --data."
		return f
	case info.Mode().Perm()&0o007 != 0:
		f.advice = "Everybody on this machine may enter it: chmod o= " + f.found
	}
	var disk syscall.Statfs_t
	if err := syscall.Statfs(f.found, &disk); err == nil {
		free := disk.Bavail * uint64(disk.Bsize) >> 30
		f.found += fmt.Sprintf(", %d GiB free", free)
		if free < 5 {
			f.advice = "Less than 5 GiB are free; a photo takes 2 to 12 MB."
		}
	}
	return f
}

// heic looks whether photos that a phone sends as HEIC can be drawn, by drawing one.
func heic(ctx context.Context) finding {
	f := finding{about: "HEIC photos", advice: "They are kept all the same, and shown as files without a picture. Install " + heif.Packages + "."}
	d, err := heif.Find()
	if err != nil {
		f.found = err.Error()
		return f
	}
	if err := d.Try(ctx); err != nil {
		f.found = d.Program() + " does not draw them: " + err.Error()
		return f
	}
	return finding{about: "HEIC photos", found: "drawn by " + d.Program()}
}
