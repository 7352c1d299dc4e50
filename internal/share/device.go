package share

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// How long things hold.
const (
	codeTime    = 10 * time.Minute // a code that nobody uses
	sessionTime = 24 * time.Hour   // from pairing
	lockTime    = 5 * time.Minute  // an address that tried too many codes
)

// How much is allowed.
const (
	wrongByAddress = 5  // codes, then the address waits for lockTime
	wrongInAll     = 20 // codes since the last one was made, then no code holds any more
	mostDevices    = 40
	mostCodes      = 20
	mostNameLength = 40 // characters
)

// Device is one that has paired.
type Device struct {
	ID     string    `json:"id"`
	Name   string    `json:"name"`
	Role   Role      `json:"role"`
	Paired time.Time `json:"paired"`
	Seen   time.Time `json:"seen"`

	Cookie []byte `json:"cookie"` // SHA-256 of what its cookie holds
	Half   []byte `json:"half"`   // SHA-256 of what its page keeps

	gone chan struct{} // closed when it is revoked
}

// Gone is closed when the device is revoked: who waits for it gives up.
func (d *Device) Gone() <-chan struct{} { return d.gone }

// Code is a way in that holds once.
type Code struct {
	Code  string
	Role  Role
	Name  string // proposed to who pairs; may be changed there
	Until time.Time
}

// letters of a code: those that are not taken for one another (Crockford's base 32).
const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// codeLength gives 50 bits: with wrongInAll tries one code in 10^13 is found.
const codeLength = 10

// random gives n bytes that cannot be foreseen.
func random(n int) []byte {
	b := make([]byte, n)
	_, _ = rand.Read(b) // never fails (crypto/rand)
	return b
}

// NewCode makes a code for one device. The error says why none is given.
func (d *Door) NewCode(role Role, name string) (Code, error) {
	if role == Anyone || role.rank() < 0 {
		return Code{}, errors.New("a code is for look, crew or lead")
	}
	name, err := nameOf(name)
	if name != "" && err != nil {
		return Code{}, err
	}
	b := random(codeLength)
	for i := range b {
		b[i] = letters[b[i]&31]
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	d.codes = slices.DeleteFunc(d.codes, func(c Code) bool { return now.After(c.Until) })
	if len(d.codes) >= mostCodes {
		d.codes = d.codes[1:] // the oldest
	}
	c := Code{Code: string(b), Role: role, Name: name, Until: now.Add(codeTime)}
	d.codes = append(d.codes, c)
	d.wrong = 0
	return c, nil
}

// nameOf cleans the name that a person gives a device.
func nameOf(s string) (string, error) {
	s = strings.Join(strings.Fields(s), " ")
	switch {
	case s == "":
		return "", errors.New("say whose phone it is")
	case !utf8.ValidString(s) || strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }):
		return "x", errors.New("the name has characters that cannot be shown")
	case utf8.RuneCountInString(s) > mostNameLength:
		return "x", fmt.Errorf("the name has over %d characters", mostNameLength)
	}
	return s, nil
}

// plainCode reads a code as a person types it.
func plainCode(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case 'O':
			return '0'
		case 'I', 'L':
			return '1'
		case ' ', '-':
			return -1
		}
		return r
	}, strings.ToUpper(s))
}

// pair turns a code into a device. cookie is what only its cookie holds, half what only its page
// keeps. address is whom wrong codes are counted against.
func (d *Door) pair(address, code, name string) (dev Device, cookie, half string, err error) {
	name, nameErr := nameOf(name)
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	if t := d.tries[address]; t != nil && now.Before(t.until) {
		return dev, "", "", &Refusal{429, "locked", fmt.Sprintf(
			"too many wrong codes came from this phone; it can try again in %s", minutes(t.until.Sub(now)))}
	}
	given := []byte(plainCode(code))
	at := -1
	for i := range d.codes {
		if subtle.ConstantTimeCompare(given, []byte(d.codes[i].Code)) == 1 && now.Before(d.codes[i].Until) {
			at = i
		}
	}
	if at < 0 {
		return dev, "", "", d.wrongCode(address, now)
	}
	if nameErr != nil {
		return dev, "", "", &Refusal{422, "name", nameErr.Error()}
	}
	if len(d.devices) >= mostDevices {
		return dev, "", "", &Refusal{429, "full",
			fmt.Sprintf("%d devices are paired, which is the most; take one out at the desk", mostDevices)}
	}
	c := d.codes[at]
	d.codes = slices.Delete(d.codes, at, at+1)
	delete(d.tries, address)
	cookie, half = base64.RawURLEncoding.EncodeToString(random(32)), base64.RawURLEncoding.EncodeToString(random(32))
	n := &Device{ID: hex.EncodeToString(random(6)), Name: name, Role: c.Role, Paired: now, Seen: now,
		Cookie: digest(cookie),
		Half:   digest(half), gone: make(chan struct{})}
	d.devices = append(d.devices, n)
	d.keep()
	return *n, cookie, half, nil
}

// wrongCode counts a wrong code; the error is what is said.
func (d *Door) wrongCode(address string, now time.Time) error {
	t := d.tries[address]
	if t == nil {
		if len(d.tries) > 1000 {
			clear(d.tries)
		}
		t = &try{}
		d.tries[address] = t
	}
	t.n++
	d.wrong++
	if d.wrong >= wrongInAll {
		d.codes = nil
		d.say("%d wrong codes came: no code holds any more; make a new one", d.wrong)
	}
	if t.n >= wrongByAddress {
		t.n, t.until = 0, now.Add(lockTime)
		d.say("%d wrong codes came from %s: it must wait %s", wrongByAddress, address, minutes(lockTime))
		return &Refusal{429, "locked", "too many wrong codes; this phone can try again in " + minutes(lockTime)}
	}
	return &Refusal{403, "code", "this code does not hold: each works once, for ten minutes. " +
		"Ask the desk for a new one"}
}

func minutes(t time.Duration) string {
	if n := int((t + time.Minute - 1) / time.Minute); n != 1 {
		return fmt.Sprintf("%d minutes", n)
	}
	return "a minute"
}

func digest(s string) []byte {
	h := sha256.Sum256([]byte(s))
	return h[:]
}

// known gives the device of a session: both halves must be its own. nil: none.
func (d *Door) known(cookie, half string) *Device {
	c, h := digest(cookie), digest(half)
	d.mu.Lock()
	defer d.mu.Unlock()
	var found *Device
	for _, x := range d.devices {
		if subtle.ConstantTimeCompare(c, x.Cookie)&subtle.ConstantTimeCompare(h, x.Half) == 1 {
			found = x
		}
	}
	if found == nil || d.now().Sub(found.Paired) > sessionTime {
		return nil
	}
	found.Seen = d.now()
	got := *found
	return &got
}

// Devices lists the devices that are paired, the newest last.
func (d *Door) Devices() []Device {
	d.mu.Lock()
	defer d.mu.Unlock()
	out := []Device{}
	for _, x := range d.devices {
		if d.now().Sub(x.Paired) <= sessionTime {
			out = append(out, *x)
		}
	}
	return out
}

// Revoke takes a device out, at once: its next request is refused, and those that wait end.
func (d *Door) Revoke(id string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	i := slices.IndexFunc(d.devices, func(x *Device) bool { return x.ID == id })
	if i < 0 {
		return errors.New("there is no such device any more")
	}
	close(d.devices[i].gone)
	d.devices = slices.Delete(d.devices, i, i+1)
	return d.keep()
}
