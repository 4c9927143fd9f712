package colorimetry

import (
	"fmt"

	"evenfall/photometry"
)

// Finding is one thing worth telling about a result: a stable word for
// programs and a sentence for people.
type Finding = photometry.Finding

func finding(code, format string, args ...any) Finding {
	return Finding{Code: code, Text: fmt.Sprintf(format, args...)}
}
