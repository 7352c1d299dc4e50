package server

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"halfstop/internal/store"
)

// The addresses of the laptop in the two networks that it is in, and of the phone in both.
const (
	chosen, other = "192.0.2.1", "198.51.100.1" // RFC 5737
	phoneIn       = "192.0.2.2"
	phoneOther    = "198.51.100.2"
)

// machine is this test binary's named test in a network of its own.
type machine struct {
	*exec.Cmd
	in  io.WriteCloser
	out *bufio.Scanner
}

// ownNetwork starts a machine (a network namespace), as root or as a user's own root.
func ownNetwork(test, env string) (*machine, error) {
	var err error
	for _, flags := range []uintptr{syscall.CLONE_NEWNET, syscall.CLONE_NEWNET | syscall.CLONE_NEWUSER} {
		c := exec.Command(os.Args[0], "-test.run=^"+test+"$", "-test.v")
		c.Env = append(os.Environ(), env)
		c.Stderr = os.Stderr
		c.SysProcAttr = &syscall.SysProcAttr{Cloneflags: flags}
		if flags&syscall.CLONE_NEWUSER != 0 {
			c.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
			c.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
		}
		in, e := c.StdinPipe()
		if err = e; err != nil {
			break
		}
		out, e := c.StdoutPipe()
		if err = e; err != nil {
			break
		}
		if err = c.Start(); err == nil {
			return &machine{c, in, bufio.NewScanner(out)}, nil
		}
	}
	return nil, err
}

// TestSharedOnOneAddress puts the program into a machine with two networks and a phone into both
// (network namespaces joined by a virtual cable): the phone reaches the floor at the address that
// was chosen and nothing else: not at the other address, not the desk; after sharing has ended
// nothing at all.
func TestSharedOnOneAddress(t *testing.T) {
	switch os.Getenv("HALFSTOP_APART") {
	case "laptop":
		laptopApart()
		return
	case "phone":
		phoneApart()
		return
	}
	if testing.Short() {
		t.Skip("starts programs")
	}
	if _, err := exec.LookPath("ip"); err != nil {
		t.Skip("=== NO ip COMMAND: SHARING IS NOT TRIED OVER NETWORKS ===")
	}
	c, err := ownNetwork(t.Name(), "HALFSTOP_APART=laptop")
	if err != nil {
		t.Skip("=== NETWORK NAMESPACES ARE NOT ALLOWED HERE: SHARING IS NOT TRIED OVER NETWORKS: ", err, " ===")
	}
	defer func() { c.in.Close(); _ = c.Wait() }()
	var got []string
	for c.out.Scan() {
		line, is := strings.CutPrefix(c.out.Text(), "> ")
		if !is {
			continue
		}
		if why, no := strings.CutPrefix(line, "skip "); no {
			t.Skip("=== NETWORKS CANNOT BE MADE HERE: SHARING IS NOT TRIED OVER NETWORKS: ", why, " ===")
		}
		got = append(got, line)
	}
	want := []string{"phone floor at the chosen address: 200", "phone floor at the other address: refused",
		"phone desk at the chosen address: refused", "phone desk at the other address: refused",
		"laptop floor at loopback: refused", "laptop desk at loopback: 200",
		"phone floor after sharing ended: refused"}
	if g, w := strings.Join(got, "\n"), strings.Join(want, "\n"); g != w {
		t.Errorf("reached:\n%s\nwant:\n%s", g, w)
	}
}

// laptopApart runs the program in its networks and says what is reached.
func laptopApart() {
	if err := sharesApart(); err != nil {
		fmt.Println("> skip", err)
	}
}

func ipDo(args ...string) error {
	out, err := exec.Command("ip", args...).CombinedOutput()
	if err != nil {
		return fmt.Errorf("ip %s: %v: %s", strings.Join(args, " "), err, strings.TrimSpace(string(out)))
	}
	return nil
}

func sharesApart() error {
	c, err := ownNetwork("TestSharedOnOneAddress", "HALFSTOP_APART=phone")
	if err != nil {
		return err
	}
	defer func() { c.in.Close(); _ = c.Wait() }()
	for _, a := range []string{"link set lo up", "link add laptop0 type veth peer name phone0",
		fmt.Sprint("link set phone0 netns ", c.Process.Pid), "addr add " + chosen + "/24 dev laptop0",
		"addr add " + other + "/24 dev laptop0", "link set laptop0 up"} {
		if err := ipDo(strings.Fields(a)...); err != nil {
			return err
		}
	}
	ask := func(what, address string) {
		fmt.Fprintf(c.in, "%s\n", address)
		for c.out.Scan() {
			if line, is := strings.CutPrefix(c.out.Text(), "> "); is {
				fmt.Printf("> phone %s: %s\n", what, line)
				return
			}
		}
		fmt.Printf("> phone %s: the phone is gone\n", what)
	}
	s, err := New(Options{Shoot: &store.Shoot{Name: "shoot.yaml", Src: []byte(networked)}, Listen: "127.0.0.1:0",
		Page: BuiltPage()})
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.Serve(ctx) }()
	defer func() { stop(); <-done }()
	if err := s.Share(ShareSet{On: true, Plain: true, Address: chosen}); err != nil {
		return err
	}
	_, shared, _ := net.SplitHostPort(strings.TrimSuffix(strings.TrimPrefix(s.ShareState().URL, "http://"), "/"))
	_, desk, _ := net.SplitHostPort(s.Address)
	ask("floor at the chosen address", chosen+":"+shared)
	ask("floor at the other address", other+":"+shared)
	ask("desk at the chosen address", chosen+":"+desk)
	ask("desk at the other address", other+":"+desk)
	fmt.Println("> laptop floor at loopback:", knockAt("127.0.0.1:"+shared))
	fmt.Println("> laptop desk at loopback:", knockAt("127.0.0.1:"+desk))
	s.share.mu.Lock()
	s.stopSharing()
	s.share.mu.Unlock()
	ask("floor after sharing ended", chosen+":"+shared)
	return nil
}

// phoneApart knocks at the addresses that it reads, once its end of the cable is there.
func phoneApart() {
	for _, a := range []string{"addr add " + phoneIn + "/24 dev phone0", "addr add " + phoneOther + "/24 dev phone0",
		"link set phone0 up"} {
		for n := 0; ipDo(strings.Fields(a)...) != nil && n < 600; n++ {
			time.Sleep(50 * time.Millisecond)
		}
	}
	in := bufio.NewScanner(os.Stdin)
	for in.Scan() {
		fmt.Println(">", knockAt(in.Text()))
	}
}

// knockAt asks for the page at an address: its status, or that nobody listens there.
func knockAt(address string) string {
	c := http.Client{Timeout: 30 * time.Second, Transport: &http.Transport{DisableKeepAlives: true}}
	r, err := c.Get("http://" + address + "/")
	if errors.Is(err, syscall.ECONNREFUSED) {
		return "refused"
	}
	if err != nil {
		return err.Error()
	}
	r.Body.Close()
	return fmt.Sprint(r.StatusCode)
}
