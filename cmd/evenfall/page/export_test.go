package page

// WithFault has the disk say something to each write, nil to go on.
func (o Options) WithFault(fault func() error) Options {
	o.fault = fault
	return o
}
