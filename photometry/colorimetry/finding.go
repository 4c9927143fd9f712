package colorimetry

// Finding is one thing worth telling about a result: a stable word for
// programs and a sentence for people.
type Finding struct {
	Code string `json:"code"`
	Text string `json:"text"`
}
