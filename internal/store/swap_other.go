//go:build !linux && !darwin

package store

import "errors"

func swap(a, b string) error { return errors.ErrUnsupported }
