package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/record"
)

type exportOptions struct {
	work
	out, what string
	force     bool
}

func exportCommand(e *env) *cobra.Command {
	return command(e, words{use: "export RECORD -o FILE", least: 1, most: 1,
		short: "hand a record over: glTF or MVR of the set, notes for retoucher and invoice",
		long: `export writes what others need of a record: the set with its lights and camera as glTF 2.0 (.gltf,
KHR_lights_punctual) or as MVR with GDTF descriptions of the heads (.mvr), or as text
(.txt) the note for the retoucher, --what invoice the facts for the
invoice. The layers are in the record as OpenEXR; the calendar and the shot list come of sheets.`}, &exportOptions{})
}

func (o *exportOptions) flags(f *pflag.FlagSet) {
	f.StringVarP(&o.out, "output", "o", "", "file to write: .gltf, .mvr or .txt (needed); - is text on standard output")
	f.StringVar(&o.what, "what", "retouch", "of a text: retouch or invoice")
	f.Uint64Var(&o.seed, "seed", 1, "seed of the readings: the same seed gives the same numbers")
	flagForce(f, &o.force)
}

func (o *exportOptions) run(ctx context.Context, e *env, args []string) error {
	folder, err := e.openRecord(args[0])
	if err != nil {
		return err
	}
	var data []byte
	switch end := strings.ToLower(filepath.Ext(o.out)); {
	case end == ".gltf":
		job, err := e.recordJob(folder)
		if err != nil {
			return err
		}
		m, err := one(ctx, e, &o.work, "metering", folder.Record.Setup,
			func(ctx context.Context, step step) (*answer.Metered, diag.List, error) {
				return job.Meter(ctx, 0, meter.Work{Seed: o.seed, Error: 0.1, Samples: 1 << 10, Progress: step})
			})
		if err != nil {
			return err
		}
		if data, err = record.GLTF(m); err != nil {
			return err
		}
	case end == ".mvr":
		job, err := e.recordJob(folder)
		if err != nil {
			return err
		}
		s, list := job.Stage(0, figure.Shadow)
		if s == nil {
			return e.fail(list)
		}
		if data, err = record.MVR(s); err != nil {
			return err
		}
	case (end == ".txt" || o.out == "-") && o.what == "retouch":
		data = []byte(record.Retouch(folder.Record))
	case (end == ".txt" || o.out == "-") && o.what == "invoice":
		data = []byte(record.Invoice(folder.Record))
	case end == ".txt" || o.out == "-":
		return badInput(fmt.Errorf("--what %s: write retouch or invoice", o.what))
	default:
		return badInput(errors.New("say where it goes: -o FILE.gltf, -o FILE.mvr or -o FILE.txt"))
	}
	if err := e.write(o.out, data, o.force); err != nil {
		return err
	}
	if o.out != "-" {
		fmt.Fprintf(e.out, "%s: %s\n", o.out, folder.Record.Setup)
	}
	return nil
}
