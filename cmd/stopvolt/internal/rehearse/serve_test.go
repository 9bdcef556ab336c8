package rehearse

import (
	"context"
	"io"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"

	"stopvolt/analysis/rehearsal"
	"stopvolt/instrument"
	"stopvolt/scenarios"
)

// teaching is the apparatus of the tests: a bench of the default scenario.
func teaching(t testing.TB) instrument.Apparatus {
	t.Helper()
	s, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s.Apparatus
}

// options are those of a server for this machine.
func options(t testing.TB) Options {
	t.Helper()
	a := teaching(t)
	return Options{
		Title: "A bench for tests", Identity: "test", Demonstration: rehearsal.Fitted(a),
		Draw: func(seed uint64) (rehearsal.Setup, error) {
			return rehearsal.Drawn(a, seed, true, false, "damp-base"), nil
		},
		Language: "en", Local: true, Instructor: "instructor-of-tests", Hosts: []string{"127.0.0.1", "example.test"},
		Most: 64, Write: plainWrite,
		Complain: func(err error) { t.Logf("the server complains: %v", err) },
	}
}

// plainWrite stands for the program's own way of writing files.
func plainWrite(name string, write func(io.Writer) error) error {
	f, err := os.Create(name + ".new")
	if err != nil {
		return err
	}
	if err := write(f); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(name+".new", filepath.Clean(name))
}

// served is a server on a port of this machine.
type served struct {
	*Server
	address string
	stop    func() error
}

// serve serves until the test ends, or stop is called. What is to be other than in
// New is changed first.
func serve(t testing.TB, o Options, change ...func(*Server)) *served {
	t.Helper()
	s, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range change {
		c(s)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, l) }()
	stopped := false
	stop := func() error {
		if stopped {
			return nil
		}
		stopped = true
		cancel()
		select {
		case err := <-ended:
			return err
		case <-time.After(10 * time.Second):
			return context.DeadlineExceeded
		}
	}
	t.Cleanup(func() {
		if err := stop(); err != nil {
			t.Errorf("stopping the server: %v", err)
		}
	})
	return &served{s, "http://" + l.Addr().String(), stop}
}

// only returns the one visitor of a server.
func (s *served) only(t testing.TB) *visitor {
	t.Helper()
	all := s.everybody()
	if len(all) != 1 {
		t.Fatalf("%d visitors", len(all))
	}
	return all[0]
}
