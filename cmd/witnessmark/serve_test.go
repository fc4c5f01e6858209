package main

import (
	"bufio"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/store/storetest"
)

// certificate writes a certificate for 127.0.0.1, good until end, and its key.
func certificate(t *testing.T, end time.Time) (cert, key string, pool *x509.CertPool) {
	t.Helper()
	secret, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	about := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "centre.example"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		NotBefore: end.AddDate(-1, 0, 0), NotAfter: end, IsCA: true, BasicConstraintsValid: true,
		KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
	}
	der, err := x509.CreateCertificate(rand.Reader, about, about, &secret.PublicKey, secret)
	if err != nil {
		t.Fatal(err)
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(secret)
	if err != nil {
		t.Fatal(err)
	}
	cert = file(t, "cert.pem", string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})))
	key = file(t, "key.pem", string(pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER})))
	pool = x509.NewCertPool()
	if text, err := os.ReadFile(cert); err != nil || !pool.AppendCertsFromPEM(text) {
		t.Fatalf("read the certificate back: %v", err)
	}
	return cert, key, pool
}

// signedIn opens a centre, lets its manager choose a password at the server, and gives the answer.
func signedIn(t *testing.T, env variables, c *http.Client, address string) *http.Response {
	t.Helper()
	out, err := do(t, env, append(first, "--url", address)...)
	if err != nil {
		t.Fatal(err)
	}
	res, err := c.Post(address+"/api/invitations/"+invitation(t, out, address), "application/json", strings.NewReader(`{"password": "three words here"}`))
	if err != nil {
		t.Fatal(err)
	}
	if err := res.Body.Close(); err != nil {
		t.Fatal(err)
	}
	if res.StatusCode != http.StatusOK {
		t.Fatalf("accept the invitation: %s", res.Status)
	}
	return res
}

// What stands on an answer follows from how people reach the server.
func TestServeCookiesAndHeaders(t *testing.T) {
	cert, key, pool := certificate(t, time.Now().AddDate(0, 6, 0))
	overTLS := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	t.Cleanup(overTLS.CloseIdleConnections)
	tests := []struct {
		name   string
		args   []string
		client *http.Client
		scheme string
		secure bool
	}{
		{"plain http", nil, http.DefaultClient, "http", false},
		{"a certificate", []string{"--tls-cert", cert, "--tls-key", key}, overTLS, "https", true},
		{"a proxy before it", []string{"--trusted-proxy", "127.0.0.1/32"}, http.DefaultClient, "http", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			env := settings(storetest.Migrated(t), t.TempDir())
			address := serving(t, env, tt.args...)
			if !strings.HasPrefix(address, tt.scheme+"://") {
				t.Errorf("it says that it serves on %s", address)
			}
			res := signedIn(t, env, tt.client, address)
			if got := res.Header.Get("Strict-Transport-Security") != ""; got != tt.secure {
				t.Errorf("Strict-Transport-Security is there: %v, want %v", got, tt.secure)
			}
			name := "wm"
			if tt.secure {
				name = "__Host-wm"
			}
			cookies := res.Cookies()
			if len(cookies) != 1 {
				t.Fatalf("cookies %v, want one", cookies)
			}
			c := cookies[0]
			if c.Name != name || c.Secure != tt.secure || !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.Domain != "" {
				t.Errorf("cookie %s, want %s, Secure %v, HttpOnly, SameSite=Lax, Path=/", c, name, tt.secure)
			}
		})
	}
}

// Only what the named proxy says of a client's address counts. The limit on tries from one address shows whom the server
// takes a request to come from: requests that name ever new addresses run into it where they are not believed.
func TestServeBelievesTheProxyAlone(t *testing.T) {
	tests := []struct {
		name, proxy string
		limited     bool
	}{
		{"from the proxy", "127.0.0.1/32", false},
		{"from somebody else", "192.0.2.7/32", true},
		{"without a proxy", "", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			env := settings(storetest.Migrated(t), t.TempDir())
			env["WITNESSMARK_TRUSTED_PROXY"] = tt.proxy
			address := serving(t, env)
			limited := false
			for n := range 100 {
				req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address+"/api/invitations/nothing", nil)
				if err != nil {
					t.Fatal(err)
				}
				req.Header.Set("X-Forwarded-For", "203.0.113."+strconv.Itoa(n+1))
				res, err := http.DefaultClient.Do(req)
				if err != nil {
					t.Fatal(err)
				}
				if err := res.Body.Close(); err != nil {
					t.Fatal(err)
				}
				switch res.StatusCode {
				case http.StatusTooManyRequests:
					limited = true
				case http.StatusNotFound:
				default:
					t.Fatalf("got %s", res.Status)
				}
			}
			if limited != tt.limited {
				t.Errorf("100 tries in the name of 100 addresses were limited: %v, want %v", limited, tt.limited)
			}
		})
	}
}

func TestServeSaysWhatIsWrong(t *testing.T) {
	cert, key, _ := certificate(t, time.Now().AddDate(0, 6, 0))
	_, otherKey, _ := certificate(t, time.Now().AddDate(0, 6, 0))
	db := storetest.Migrated(t)
	busy := listening(t)
	defer busy.Close()
	plain := variables{"DATABASE_URL": db.App, "WITNESSMARK_DATA": t.TempDir()}
	tests := []struct {
		name string
		env  variables
		args []string
		want []string
	}{
		{"a superuser", variables{"DATABASE_URL": db.Super, "WITNESSMARK_DATA": t.TempDir()}, nil, []string{"is a superuser", "set DATABASE_URL to the role witnessmark_app"}},
		{"the owner", variables{"DATABASE_URL": db.Owner, "WITNESSMARK_DATA": t.TempDir()}, nil, []string{"owns tables", "witnessmark_app"}},
		{"not migrated", variables{"DATABASE_URL": storetest.Empty(t).App, "WITNESSMARK_DATA": t.TempDir()}, nil, []string{"witnessmark migrate"}},
		{"no answer", variables{"DATABASE_URL": "postgres://a@127.0.0.1:1/a", "WITNESSMARK_DATA": t.TempDir()}, nil, []string{"connect to the database"}},
		{"a certificate without a key", plain, []string{"--tls-cert", cert}, []string{"--tls-cert and --tls-key go together"}},
		{"another's key", plain, []string{"--tls-cert", cert, "--tls-key", otherKey}, []string{cert, otherKey, "cannot be used"}},
		{"no certificate there", plain, []string{"--tls-cert", "gone.pem", "--tls-key", key}, []string{"gone.pem", "cannot be used"}},
		{"a proxy without a network", plain, []string{"--trusted-proxy", "10.0.0.5"}, []string{"--trusted-proxy 10.0.0.5 is not a network such as"}},
		{"a busy address", plain, []string{"--listen", busy.Addr().String()}, []string{"listen on " + busy.Addr().String()}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := do(t, tt.env, append([]string{"serve", "--listen", "127.0.0.1:0"}, tt.args...)...)
			refused(t, err, tt.want...)
		})
	}
}

// Asked to stop, the server ends a request that is under way and takes no other.
func TestServeDrains(t *testing.T) {
	env := settings(storetest.Migrated(t), t.TempDir())
	r := start(t, env, "serve", "--listen", "127.0.0.1:0")
	address := strings.TrimPrefix(printedAddress.FindString(r.says(t, "Ctrl-C stops")), "http://")
	conn, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	const body = `{"name": "nobody", "password": "nothing at all"}`
	half := len(body) / 2
	// The server says 100 once a handler reads the body (RFC 9110, section 10.1.1): then the request is under way.
	if _, err := fmt.Fprintf(conn, "POST /api/session HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\nExpect: 100-continue\r\n\r\n", address, len(body)); err != nil {
		t.Fatal(err)
	}
	in := bufio.NewReader(conn)
	if got, err := in.ReadString('\n'); err != nil || !strings.HasPrefix(got, "HTTP/1.1 100 ") {
		t.Fatalf("got %q, %v; want that it goes on", got, err)
	}
	if _, err := in.ReadString('\n'); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(conn, body[:half]); err != nil {
		t.Fatal(err)
	}
	r.stop()
	until(t, "it takes no more connections", func() bool {
		other, err := net.Dial("tcp", address)
		return err != nil || other.Close() != nil
	})
	select {
	case <-r.ended:
		t.Fatalf("it ended (%v) with a request under way", r.err)
	default:
	}
	if _, err := io.WriteString(conn, body[half:]); err != nil {
		t.Fatal(err)
	}
	res, err := http.ReadResponse(in, nil)
	if err != nil {
		t.Fatalf("the request under way got no answer: %v", err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode/100 != 4 || !strings.Contains(string(text), "detail") {
		t.Errorf("the request under way got %s %s, %v; want its ordinary refusal", res.Status, text, err)
	}
	if err := r.end(t); err != nil {
		t.Errorf("stopped with %v", err)
	}
}

// Without any database named, serve runs the private PostgreSQL and takes it along when it stops.
func TestServeWithItsOwnPostgreSQL(t *testing.T) {
	dir := demoDir(t)
	r := start(t, variables{"WITNESSMARK_DATA": dir}, "serve", "--listen", "127.0.0.1:0")
	out := r.says(t, "Ctrl-C stops")
	contains(t, out, "There is no https")
	if code, _ := ask(t, client(t), http.MethodGet, printedAddress.FindString(out)+"/api/session", ""); code != http.StatusUnauthorized {
		t.Errorf("got %d, want %d", code, http.StatusUnauthorized)
	}
	if len(serversOn(t, dir)) == 0 {
		t.Error("no process works in the cluster")
	}
	if err := r.end(t); err != nil {
		t.Errorf("stopped with %v", err)
	}
	if left := serversOn(t, dir); len(left) > 0 {
		t.Errorf("PostgreSQL's processes %v are left", left)
	}
	if info, err := os.Stat(filepath.Join(dir, "evidence")); err != nil || info.Mode().Perm()&0o007 != 0 {
		t.Errorf("evidence folder %v, %v; want one closed to others", info, err)
	}
}
