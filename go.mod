module halfstop

go 1.26.0

require (
	github.com/goccy/go-yaml v1.19.2 // indirect
	golang.org/x/image v0.47.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/text v0.43.0 // indirect
)
