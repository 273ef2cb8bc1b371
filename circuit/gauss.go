package circuit

import "math"

// singular is how small a pivot may be beside the greatest number of its row
// before the equations count as having no single answer. The resistances of a
// vehicle span ten powers of ten, which leaves a pivot 1e-11 of its row at
// worst; rounding leaves some 1e-16.
const singular = 1e-13

// eliminate solves a·x = b for every column of b by Gaussian elimination with
// row scaling and partial pivoting. It changes both. It returns the number of
// the first unknown that the equations do not settle, -1 when all are settled;
// b then holds the answers. Cost is n³/3 multiplications.
func eliminate(a, b [][]float64) int {
	scale := make([]float64, len(a))
	for i := range a {
		for _, x := range a[i] {
			scale[i] = math.Max(scale[i], math.Abs(x))
		}
	}
	for col := range a {
		if !pivot(a, b, scale, col) {
			return col
		}
		for row := col + 1; row < len(a); row++ {
			f := a[row][col] / a[col][col]
			if f == 0 {
				continue
			}
			for k := col; k < len(a); k++ {
				a[row][k] -= f * a[col][k]
			}
			for k := range b[row] {
				b[row][k] -= f * b[col][k]
			}
		}
	}
	backward(a, b)
	return -1
}

// pivot brings the row with the greatest scaled entry of a column into place;
// false when there is none.
func pivot(a, b [][]float64, scale []float64, col int) bool {
	best, most := -1, singular
	for row := col; row < len(a); row++ {
		if scale[row] == 0 {
			continue
		}
		if x := math.Abs(a[row][col]) / scale[row]; x > most {
			best, most = row, x
		}
	}
	if best < 0 {
		return false
	}
	a[col], a[best] = a[best], a[col]
	b[col], b[best] = b[best], b[col]
	scale[col], scale[best] = scale[best], scale[col]
	return true
}

func backward(a, b [][]float64) {
	for row := len(a) - 1; row >= 0; row-- {
		for k := range b[row] {
			sum := b[row][k]
			for col := row + 1; col < len(a); col++ {
				sum -= a[row][col] * b[col][k]
			}
			b[row][k] = sum / a[row][row]
		}
	}
}

// matrix returns a matrix of zeros.
func matrix(rows, cols int) [][]float64 {
	flat := make([]float64, rows*cols)
	out := make([][]float64, rows)
	for i := range out {
		out[i] = flat[i*cols : (i+1)*cols]
	}
	return out
}
