package main

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/analysis/rehearsal"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/rehearse"
	"stopvolt/instrument/run"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// rehearseFlags are those of the command rehearse.
type rehearseFlags struct {
	scenario  scenarioFlags
	listen    string
	token     string
	names     []string
	fault     string
	bookValue bool
	language  string
	decimal   string
	most      int
	folder    string
	forget    bool
	key       string
	out       string
	pass      passphraseFlags
	seed      uint64
	seeded    func() bool
}

// rehearseCommand serves rehearsals to browsers.
func rehearseCommand() command {
	return command{
		name:      "rehearse",
		arguments: "[SCENARIO]",
		summary:   "serve a simulated bench to browsers, where students do the measurement before the real one",
		examples: `  stopvolt rehearse                                    # open the printed address
  stopvolt rehearse --language de --decimal comma
  stopvolt rehearse --fault random                     # a drill for demonstrators
  stopvolt rehearse --listen 0.0.0.0:8088 --token -    # for a class, in a laboratory's own network
  stopvolt rehearse --key set/set.key --out handed     # at the hidden benches of a practice set
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := &rehearseFlags{scenario: scenarioFlags{other: scenarios.DefaultPopulation}}
			f.scenario.add(flags)
			flags.StringVar(&f.listen, "listen", "127.0.0.1:0", "`ADDRESS:PORT` to listen on; port 0 takes a free one")
			flags.StringVar(&f.token, "token", "", "`TOKEN` that students' addresses carry, - draws one; needed beyond this machine")
			flags.StringSliceVar(&f.names, "host", nil, "another `NAME` under which browsers reach this machine (may be repeated)")
			flags.StringVar(&f.fault, "fault", "", "drill: plant the fault `NAME` into the bench, or one by lot for random")
			flags.BoolVar(&f.bookValue, "book-value", false, "give the benches the book's h/e instead of one of their own")
			flags.StringVar(&f.language, "language", "en", "first `LANGUAGE` of the pages: "+strings.Join(rehearse.Languages(), ", "))
			flags.StringVar(&f.decimal, "decimal", "point", "first decimal sign of the pages: `point|comma`")
			flags.IntVar(&f.most, "students", 48, "most sessions that are open at a time `N`")
			flags.StringVar(&f.folder, "state", "", "`DIR` in which sessions are kept; a folder of the user's by default")
			flags.BoolVar(&f.forget, "forget", false, "keep no session on disk")
			flags.Uint64Var(&f.seed, "seed", 0, "give every session the bench of the seed `S`, instead of one of its own by lot")
			flags.StringVar(&f.key, "key", "", "serve each student the hidden bench of the practice set whose sealed `KEY` this is")
			flags.StringVar(&f.out, "out", "", "with --key: keep answers.csv and the students' logbooks in the folder `DIR`, for practice mark")
			f.pass.add(flags)
			f.seeded = func() bool { return flags.Changed("seed") }
			return f.run
		},
	}
}

func (f *rehearseFlags) run(ctx context.Context, c console.Console, names []string) error {
	scenario, err := f.scenario.load(names)
	if err != nil {
		return err
	}
	if err := f.check(); err != nil {
		return err
	}
	set, err := f.openSet(ctx, c, len(names) > 0)
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", f.listen)
	if err != nil {
		return console.WrongUsef("--listen is %q: %w", f.listen, err)
	}
	defer listener.Close()
	o, err := f.options(scenario, listener.Addr(), c)
	if err != nil {
		return err
	}
	if set != nil {
		set.into(&o, f.out)
	}
	server, err := rehearse.New(o)
	if err != nil {
		return console.WrongUse{Err: err}
	}
	f.greet(c, listener.Addr(), o)
	if o.Students != nil {
		if err := entryCodes(c, o.Students); err != nil {
			return err
		}
	}
	if err := server.Serve(ctx, listener); err != nil || ctx.Err() == nil {
		return err
	}
	kept := "no session is kept"
	if o.Folder != "" {
		kept = "the sessions are kept in " + o.Folder
	}
	if f.out != "" {
		kept += ", and what was handed in in " + f.out
	}
	return console.Interruption{Kept: kept}
}

// check says which flag cannot be.
func (f *rehearseFlags) check() error {
	faults := []string{rehearsal.RandomFault, rehearsal.NoFault}
	for _, x := range rehearsal.Faults() {
		faults = append(faults, x.Name)
	}
	switch {
	case f.fault != "" && !slices.Contains(faults, f.fault):
		return console.WrongUsef("--fault is %q; it must be one of %s", f.fault, strings.Join(faults, ", "))
	case !slices.Contains(rehearse.Languages(), f.language):
		return console.WrongUsef("--language is %q; it must be one of %s", f.language, strings.Join(rehearse.Languages(), ", "))
	case f.decimal != "point" && f.decimal != "comma":
		return console.WrongUsef("--decimal is %q; it must be point or comma", f.decimal)
	case f.most < 1 || f.most > 500:
		return console.WrongUsef("--students is %d; it must be from 1 to 500", f.most)
	case f.token != "" && f.token != "-" && len(f.token) < shortestToken:
		return console.WrongUsef("--token has %d letters; it must have %d or more, and - draws one", len(f.token), shortestToken)
	}
	if f.forget && f.folder != "" {
		return console.WrongUsef("--forget keeps no session, so that --state is too much")
	}
	if f.out != "" && f.key == "" {
		return console.WrongUsef("--out needs --key, the practice set whose answers are handed in")
	}
	if f.key != "" && (f.fault != "" || f.bookValue || f.seeded() || len(f.scenario.set) > 0) {
		return console.WrongUsef("--key takes the benches from the set; --fault, --book-value, --seed and --set are too much")
	}
	local, err := loopback(f.listen)
	if err != nil {
		return console.WrongUsef("--listen is %q; it must be an address and a port, such as 127.0.0.1:8088", f.listen)
	}
	if !local && f.token == "" {
		return console.WrongUsef("--listen is %q, which others can reach; --token is needed beyond this machine, and --token - draws one", f.listen)
	}
	return nil
}

// shortestToken is in letters: nobody guesses one of them over a network.
const shortestToken = 8

// loopback reports whether an address is this machine's own.
func loopback(address string) (bool, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return false, err
	}
	if host == "localhost" {
		return true, nil
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback(), nil
}

// options returns what the flags ask for.
func (f *rehearseFlags) options(s scenarios.Scenario, address net.Addr, c console.Console) (rehearse.Options, error) {
	local, err := loopback(f.listen)
	if err != nil {
		return rehearse.Options{}, err
	}
	token := f.token
	if token == "-" {
		token = newToken()
	}
	drill := f.fault != ""
	o := rehearse.Options{
		Title:         s.Title,
		Demonstration: rehearsal.Fitted(s.Apparatus),
		Draw: func(seed uint64) (rehearsal.Setup, error) {
			a, _, err := sim.DrawBench(s.Population, seed, 0)
			if err != nil {
				return rehearsal.Setup{}, err
			}
			return rehearsal.Drawn(a, seed, !f.bookValue, drill, f.fault), nil
		},
		Language: f.language, Comma: f.decimal == "comma",
		Local: local, Token: token, Instructor: newToken(),
		Hosts: f.hosts(address), Most: f.most, Write: files.Write,
		Complain: func(err error) { fmt.Fprintf(c.Err, "stopvolt: %v\n", err) },
	}
	if f.seeded() {
		o.Seed = func() uint64 { return f.seed }
	}
	// Whatever changes what a session is, changes the identity.
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\n%q\n%t %t %s", s.Text, s.Assignments, f.bookValue, drill, f.fault))
	o.Identity = hex.EncodeToString(sum[:8])
	if !f.forget {
		if o.Folder, err = f.state(); err != nil {
			return rehearse.Options{}, err
		}
	}
	return o, nil
}

// hosts returns the names under which requests are served.
func (f *rehearseFlags) hosts(address net.Addr) []string {
	hosts := []string{"localhost", "127.0.0.1", "::1"}
	if a, ok := address.(*net.TCPAddr); ok && !a.IP.IsUnspecified() {
		hosts = append(hosts, a.IP.String())
	} else if ok {
		addresses, err := net.InterfaceAddrs()
		if err == nil {
			for _, x := range addresses {
				if n, ok := x.(*net.IPNet); ok {
					hosts = append(hosts, n.IP.String())
				}
			}
		}
	}
	for _, name := range f.names {
		hosts = append(hosts, strings.ToLower(name))
	}
	return hosts
}

// state returns the folder in which sessions are kept, and makes it for its
// owner alone.
func (f *rehearseFlags) state() (string, error) {
	dir := f.folder
	if dir == "" {
		base, err := stateFolder()
		if err != nil {
			return "", console.WrongUsef("there is no folder for the sessions (%w); name one by --state, or use --forget", err)
		}
		dir = filepath.Join(base, "stopvolt", "rehearse")
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", console.WrongUsef("--state: %w; name another folder, or use --forget", err)
	}
	return dir, nil
}

// stateFolder returns where programs keep what they want to find again (XDG Base
// Directory Specification 0.8; elsewhere the system's own place).
func stateFolder() (string, error) {
	if dir := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return dir, nil
	}
	if runtime.GOOS != "windows" && runtime.GOOS != "darwin" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", err
		}
		if home == "" {
			return "", errors.New("the user has no home")
		}
		return filepath.Join(home, ".local", "state"), nil
	}
	return os.UserConfigDir()
}

// newToken draws a token.
func newToken() string {
	var b [15]byte
	// The operating system's source does not fail.
	_, _ = rand.Read(b[:])
	return base64.RawURLEncoding.EncodeToString(b[:])
}

// greet prints the addresses.
func (f *rehearseFlags) greet(c console.Console, address net.Addr, o rehearse.Options) {
	query := ""
	if o.Token != "" {
		query = "?token=" + o.Token
	}
	fmt.Fprintf(c.Err, "%s\n", o.Title)
	for _, host := range reachable(address, f.names) {
		fmt.Fprintf(c.Err, "open http://%s/%s\n", host, query)
		fmt.Fprintf(c.Err, "instructor: http://%s/instructor?token=%s\n", host, o.Instructor)
	}
	if o.Local {
		fmt.Fprintln(c.Err, "it runs on this machine, for this machine alone; Ctrl-C ends it")
	} else {
		fmt.Fprintln(c.Err, "others in this network can reach it by the first address, which is not encrypted; Ctrl-C ends it")
	}
}

// entryCodes prints the codes with which students enter, as CSV, for the instructor
// to hand out.
func entryCodes(c console.Console, students *rehearse.Students) error {
	out := run.NewTable(c.Data, ',')
	if err := out.Write([]string{"student_id", "entry_code"}); err != nil {
		return err
	}
	for _, id := range students.IDs {
		if err := out.Write([]string{id, students.Code(id)}); err != nil {
			return err
		}
	}
	// The server goes on for hours, and the codes are needed now.
	return errors.Join(out.Flush(), c.Flush())
}

// reachable returns the hosts with port to print.
func reachable(address net.Addr, names []string) []string {
	_, port, err := net.SplitHostPort(address.String())
	if err != nil {
		return []string{address.String()}
	}
	if len(names) > 0 {
		return []string{net.JoinHostPort(names[0], port)}
	}
	a, ok := address.(*net.TCPAddr)
	if !ok || !a.IP.IsUnspecified() {
		return []string{address.String()}
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return []string{address.String()}
	}
	for _, x := range addresses {
		if n, ok := x.(*net.IPNet); ok && !n.IP.IsLoopback() && n.IP.To4() != nil {
			return []string{net.JoinHostPort(n.IP.String(), port)}
		}
	}
	return []string{net.JoinHostPort("localhost", port)}
}
