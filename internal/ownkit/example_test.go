package ownkit_test

import (
	"fmt"

	"halfstop/internal/ownkit"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// A maker's figure goes into the file that has the head; what a person wrote around it stays.
func Example() {
	files := []shoot.KitFile{{Name: "kit/own.yaml", Src: []byte("heads:\n" +
		"  - name: my 500 # the dented one\n    like: battery head 500\n")}}
	changes, err := ownkit.Set(files, ownkit.Into, "heads", "My 500", []yamltext.Edit{
		{Path: "guide number", Value: "58 m"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(string(changes[0].After))
	// Output:
	// heads:
	//   - name: my 500 # the dented one
	//     like: battery head 500
	//     guide number: 58 m
}
