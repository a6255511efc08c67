package diagnose

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// shape is a course over the observations of a window: its value at each index.
type shape func(index int) float64

// fit is a weighted least-squares fit.
type fit struct {
	factors    []estimate // of the shapes, in their order
	chiSquared float64    // sum of squared deviations over their own, that remains
}

// fitShapes fits a free level and a multiple of each shape to figures, each
// weighted by its inverse variance. It is not ok where the figures cannot part
// the shapes.
//
// Source: weighted least squares by the normal equations.
func fitShapes(figures []estimate, shapes ...shape) (f fit, ok bool) {
	n, unknowns := len(figures), 1+len(shapes)
	design := mat.NewDense(n, unknowns, nil)
	values := mat.NewVecDense(n, nil)
	for i, y := range figures {
		values.SetVec(i, y.value/y.sd)
		design.Set(i, 0, 1/y.sd)
		for j, s := range shapes {
			design.Set(i, j+1, s(i)/y.sd)
		}
	}
	var normal, variance mat.SymDense
	var right, solution, residual mat.VecDense
	var cholesky mat.Cholesky
	normal.SymOuterK(1, design.T())
	right.MulVec(design.T(), values)
	if !cholesky.Factorize(&normal) || cholesky.SolveVecTo(&solution, &right) != nil || cholesky.InverseTo(&variance) != nil {
		return fit{}, false
	}
	residual.MulVec(design, &solution)
	residual.SubVec(values, &residual)
	f.chiSquared = mat.Dot(&residual, &residual)
	for j := range shapes {
		f.factors = append(f.factors, estimate{solution.AtVec(j + 1), math.Sqrt(variance.At(j+1, j+1))})
	}
	return f, true
}
