package spatial

import "slices"

// MedianInPlace is the median of values, which it reorders. It is 0 for none.
func MedianInPlace(values []float64) float64 {
	n := len(values)
	if n == 0 {
		return 0
	}
	upper := selectInPlace(values, n/2)
	if n%2 == 1 {
		return upper
	}
	return (slices.Max(values[:n/2]) + upper) / 2
}

// selectInPlace is the k-th smallest value (from 0), by Hoare's selection;
// smaller ones end up before it. Sorting a million residuals thirty times
// would cost more than the whole fit.
func selectInPlace(values []float64, k int) float64 {
	low, high := 0, len(values)-1
	for low < high {
		pivot := values[(low+high)/2]
		i, j := low, high
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return values[k]
		}
	}
	return values[k]
}
