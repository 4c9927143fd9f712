package photometry

// Finding is one sentence for people that a result carries: a cause, a piece
// of advice, a warning or a caution. Faces print Text; tools test Code, which
// is stable snake_case.
type Finding struct {
	Code string `json:"code"`
	Text string `json:"text"`
}
