package share

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strings"
)

// Addresses lists this machine's addresses of local networks, those of RFC 1918 first; loopback,
// link-local ones and ones of networks that are down are left out.
func Addresses() []netip.Addr {
	var near, far []netip.Addr
	list, _ := net.Interfaces()
	for _, i := range list {
		if i.Flags&net.FlagUp == 0 || i.Flags&net.FlagLoopback != 0 {
			continue
		}
		of, _ := i.Addrs()
		for _, a := range of {
			p, err := netip.ParsePrefix(a.String())
			ip := p.Addr().Unmap()
			switch {
			case err != nil || !ip.IsGlobalUnicast() || ip.IsLinkLocalUnicast():
			case ip.Is4() && ip.IsPrivate():
				near = append(near, ip)
			case ip.Is4():
				far = append(far, ip)
			}
		}
	}
	return append(near, far...)
}

// Choose reads which address is to be shared on: 'ADDRESS', 'ADDRESS:PORT', or nothing for the
// first of the local network. The error says what to do.
func Choose(text string) (netip.AddrPort, error) {
	if text == "" {
		list := Addresses()
		if len(list) == 0 {
			return netip.AddrPort{}, errors.New("this machine is in no network; " +
				"join one, or say which address with --share-on")
		}
		return netip.AddrPortFrom(list[0], 0), nil
	}
	if p, err := netip.ParseAddrPort(text); err == nil {
		return p, nil
	}
	ip, err := netip.ParseAddr(strings.Trim(text, "[]"))
	if err != nil {
		var all []string
		for _, a := range Addresses() {
			all = append(all, a.String())
		}
		return netip.AddrPort{}, fmt.Errorf("%s is no address; this machine has %s", text, strings.Join(all, ", "))
	}
	return netip.AddrPortFrom(ip, 0), nil
}
