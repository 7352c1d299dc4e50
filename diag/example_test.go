package diag_test

import (
	"fmt"

	"halfstop/diag"
)

func Example() {
	list := diag.List{{Code: "shoot.unknown-key", Text: `unknown setting "aym" of a light`, Fix: `write "aim"`,
		Pos: diag.Pos{File: "shoot.yaml", Line: 5, Col: 3, Len: 3, Source: "  aym: [0, 0, 0]"}}}
	fmt.Print(list.Text())
	fmt.Println("exit code", list.ExitCode())
	// Output:
	// shoot.yaml:5:3: unknown setting "aym" of a light
	//   5 |   aym: [0, 0, 0]
	//     |   ^^^
	//   fix: write "aim"
	// exit code 2
}
