package leastsquares

import (
	"cmp"
	"math"
	"slices"
)

// MediansOfOthers are, for each value, the median of all others.
func MediansOfOthers(values []float64) []float64 {
	n := len(values)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
	out := make([]float64, n)
	for rank, i := range order {
		other := func(k int) float64 { // k-th smallest of the others
			if k >= rank {
				k++
			}
			return values[order[k]]
		}
		out[i] = (other((n-2)/2) + other((n-1)/2)) / 2
	}
	return out
}

// MedianSlope is the median of the slopes between all pairs of points at different
// x (Theil 1950, Sen 1968). The range of slopes is halved until nothing is left
// of it, and the pairs with a smaller slope are counted as inversions, so that it
// takes n·log n steps a round and not a step for each pair. It is 0 where all
// points are at one x.
func MedianSlope(x, y []float64) float64 {
	n := len(x)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(x[a], x[b]), cmp.Compare(y[a], y[b])) })
	pairs, same, step := n*(n-1)/2, 0, math.Inf(1)
	for k := 1; k < n; k++ {
		if d := x[order[k]] - x[order[k-1]]; d > 0 {
			same, step = 0, min(step, d)
		} else {
			same++
			pairs -= same
		}
	}
	if pairs == 0 {
		return 0
	}
	keys, scratch := make([]float64, n), make([]float64, n)
	smaller := func(slope float64) int { // pairs with a smaller slope
		for k, i := range order {
			keys[k] = y[i] - slope*x[i]
		}
		return inversions(keys, scratch)
	}
	steepest := (slices.Max(y) - slices.Min(y)) / step
	kth := func(k int) float64 {
		low, high := -steepest, steepest
		for range 200 {
			middle := (low + high) / 2
			if middle <= low || middle >= high || high-low < 1e-15*steepest {
				break
			}
			if smaller(middle) > k {
				high = middle
			} else {
				low = middle
			}
		}
		return high
	}
	return (kth((pairs-1)/2) + kth(pairs/2)) / 2
}

// inversions counts the pairs of which the first is the larger, while it sorts.
func inversions(values, scratch []float64) int {
	n := len(values)
	if n < 2 {
		return 0
	}
	left, right := values[:n/2], values[n/2:]
	count := inversions(left, scratch[:n/2]) + inversions(right, scratch[n/2:])
	merged := scratch[:0]
	for len(left) > 0 && len(right) > 0 {
		if left[0] <= right[0] {
			merged, left = append(merged, left[0]), left[1:]
		} else {
			count += len(left)
			merged, right = append(merged, right[0]), right[1:]
		}
	}
	merged = append(append(merged, left...), right...)
	copy(values, merged)
	return count
}
