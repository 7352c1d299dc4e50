// Package send sends levels to networked heads by ANSI E1.31 (streaming ACN) over UDP: unicast to
// stated addresses, or multicast by choice. It fades to what is asked, keeps it alive, and on its
// way out leaves the last look, releases it, or fades, as chosen. Slots that belong to no head of
// ours are never claimed: per-address priority 0 says so.
package send
