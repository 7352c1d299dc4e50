package photometry

import "halfstop/diag"

// Parse reads either format, told apart by the content.
func Parse(name string, src []byte) (*Web, diag.List) { return nil, nil }
