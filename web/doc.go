// Package web is the page of the workbench as it was built (make web): nothing else of this folder
// is needed to run it.
//
// The page draws and mixes layers; it never computes light. Only internal/server may import it.
package web
