// Package server is the workbench's server: the text of one shoot with its history, a typed JSON
// API on the loopback address, one render queue, and the embedded page. docs/server.md says how it
// works; openapi.yaml describes the API and is made from shapes.go and routes.go.
//
// It must not compute light itself: package answer and the rooms below it do.
package server
