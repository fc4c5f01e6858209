//go:build linux

package faults_test

import (
	"io"
	"math/rand/v2"
	"net"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// never is more bytes than a connection ever carries.
const never = int64(1 << 40)

// link stands between phones and the program as a bad link does: each burst comes late, so many bytes go in a second, and
// connections are cut after some bytes of one direction or the other.
type link struct {
	net.Listener
	to      string
	latency time.Duration
	rate    int // bytes a second; 0 for as many as there are
	mu      sync.Mutex
	rng     *rand.Rand
	cut     func(*rand.Rand) (up, down int64)
	cuts    atomic.Int32
}

func newLink(t *testing.T, to string, latency time.Duration, rate int, cut func(*rand.Rand) (up, down int64)) *link {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	k := &link{Listener: l, to: to, latency: latency, rate: rate, rng: rand.New(rand.NewPCG(*seed, 1<<33)), cut: cut}
	t.Cleanup(func() { _ = l.Close() })
	go func() {
		for {
			phone, err := l.Accept()
			if err != nil {
				return
			}
			go k.carry(phone)
		}
	}()
	return k
}

// someBytes is after how many bytes a connection is cut, of one direction alone: most on the way up, a third on the way
// back, where the request arrives and its answer does not.
func someBytes(rng *rand.Rand, up, down int) (int64, int64) {
	if rng.IntN(3) == 0 {
		return never, int64(rng.IntN(down))
	}
	return int64(rng.IntN(up)), never
}

// carry carries one connection's bytes up to its end.
func (k *link) carry(phone net.Conn) {
	server, err := net.Dial("tcp", k.to)
	if err != nil {
		_ = phone.Close()
		return
	}
	k.mu.Lock()
	up, down := k.cut(k.rng)
	k.mu.Unlock()
	var both sync.WaitGroup
	carry := func(to, from net.Conn, most int64) {
		if k.copy(to, from, most) == most {
			k.cuts.Add(1)
			for _, conn := range []net.Conn{phone, server} { // reset, so that nothing that is under way arrives either
				if tcp, ok := conn.(*net.TCPConn); ok {
					_ = tcp.SetLinger(0)
				}
			}
		}
		_, _ = phone.Close(), server.Close()
	}
	both.Go(func() { carry(server, phone, up) })
	both.Go(func() { carry(phone, server, down) })
	both.Wait()
}

// copy carries at most so many bytes of one direction, and says how many.
func (k *link) copy(to io.Writer, from io.Reader, most int64) (n int64) {
	if k.rate == 0 {
		n, _ = io.CopyN(to, from, most) // that it ends early says all
		return n
	}
	piece := make([]byte, max(1, k.rate/20))
	for n < most {
		asked := time.Now()
		got, err := from.Read(piece[:min(int64(len(piece)), most-n)])
		if time.Since(asked) > k.latency/10 {
			time.Sleep(k.latency)
		}
		time.Sleep(time.Duration(got) * time.Second / time.Duration(k.rate))
		if put, wrong := to.Write(piece[:got]); err != nil || wrong != nil {
			return n + int64(put)
		}
		n += int64(got)
	}
	return n
}
