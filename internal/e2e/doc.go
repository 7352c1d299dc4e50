// Package e2e proves the workbench in a real headless browser: its tests
// start the server in this process, open the built page in Chromium and use
// it as a person would. It holds no code that the program runs.
package e2e
