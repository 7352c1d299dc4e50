package daylog

import (
	"encoding/csv"
	"io"
	"strconv"
	"time"
)

// Columns are the columns of a CSV export (RFC 4180), in their order.
var Columns = []string{"seq", "at", "kind", "setup", "subject", "value", "unit", "text", "who", "stands", "reverses",
	"client", "number", "said", "clock_offset_ms", "received", "detail"}

// WriteCSV writes entries as CSV with a line of headers; times as RFC 3339 in UTC, to the
// millisecond.
func WriteCSV(w io.Writer, list []Entry) error {
	c := csv.NewWriter(w)
	if err := c.Write(Columns); err != nil {
		return err
	}
	when := func(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000Z") }
	for _, e := range list {
		value, reverses := "", ""
		if e.Value != nil {
			value = strconv.FormatFloat(*e.Value, 'g', -1, 64)
		}
		if e.Reverses != 0 {
			reverses = strconv.FormatInt(e.Reverses, 10)
		}
		if err := c.Write([]string{strconv.FormatInt(e.Seq, 10), when(e.At), string(e.Kind), e.Setup, e.Subject,
			value, e.Unit, e.Text, e.Who, strconv.FormatBool(e.Stands), reverses,
			e.Client, strconv.FormatInt(e.Number, 10), when(e.Said), strconv.FormatInt(e.OffsetMS,
				10), when(e.Received), string(e.Detail)}); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
