package uncertainty

// The scatter of one color reading to the next that is assumed of a color read once, one
// standard deviation in mired and in Duv: common practice, no source.
const (
	AssumedMired = 1.5
	AssumedDuv   = 0.0005
)
