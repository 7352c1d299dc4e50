// Package floor proves the floor's page with phone-sized pages in a real headless browser: they
// pair, tick and log over a link that is cut and healed. It holds no code that the program runs.
package floor
