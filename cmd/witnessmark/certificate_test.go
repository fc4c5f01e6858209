package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"os"
	"path/filepath"
	"testing"
	"time"

	"witnessmark/internal/pades/padestest"
)

// A centre makes a certificate, brings another, and is told before that one ends.
func TestKeysCertificate(t *testing.T) {
	env, _ := decided(t)
	text := must[string](t)
	_, err := do(t, env, "keys", "certificate", "--centre", "NORTH")
	refused(t, err, "no signing certificate yet")
	contains(t, text(do(t, env, "keys", "certificate", "--centre", "NORTH", "--new")), "signing certificate of CN=North Yard Training, vouched for by itself alone, in force from ", "SHA-256 ")
	contains(t, text(do(t, env, "keys", "show", "--centre", "NORTH")), "key, signs:", "signing certificate of CN=North Yard Training")
	out, _ := do(t, env, "doctor") // that has more to say of this installation
	contains(t, out, "in order   signing certificate of NORTH: in force until ")

	bring := func(ends time.Time) error {
		t.Helper()
		key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		id := padestest.Issue(t, padestest.Root(t, "Awarding Root"), &x509.Certificate{Subject: pkix.Name{CommonName: "North"}, NotBefore: ends.AddDate(-1, 0, 0), NotAfter: ends}, key)
		dir := t.TempDir()
		lay(t, filepath.Join(dir, "chain.pem"), string(padestest.PEM(id.Chain...)))
		lay(t, filepath.Join(dir, "key.pem"), string(padestest.KeyPEM(t, key)))
		_, err = do(t, env, "keys", "certificate", "--centre", "NORTH", "--certificate", filepath.Join(dir, "chain.pem"), "--key", filepath.Join(dir, "key.pem"))
		return err
	}
	refused(t, bring(time.Now().AddDate(0, 0, -1)), "in force from")
	if err := bring(time.Now().AddDate(0, 0, 20)); err != nil {
		t.Fatal(err)
	}
	contains(t, text(do(t, env, "keys", "certificate", "--centre", "NORTH")), "signing certificate of CN=North, vouched for by CN=Awarding Root")
	out, _ = do(t, env, "doctor")
	contains(t, out, "look here  signing certificate of NORTH: in force until ", "It ends soon.")
	if err := os.WriteFile(filepath.Join(env["WITNESSMARK_DATA"], "keys", "1", "signing.pem"), []byte("nothing"), 0o600); err != nil {
		t.Fatal(err)
	}
	out, _ = do(t, env, "doctor")
	contains(t, out, "look here  signing certificate of NORTH: cannot be read", "no certificate in PEM form")
	_, err = do(t, env, "keys", "certificate", "--centre", "NORTH", "--key", "k")
	refused(t, err, "--certificate and --key")
	_, err = do(t, env, "keys", "certificate", "--centre", "NORTH", "--new", "--certificate", "c")
	refused(t, err, "--new, or")
}
