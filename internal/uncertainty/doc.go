// Package uncertainty holds the theory of doubt: measurement uncertainty as the
// GUM (JCGM 100:2008) computes it, statistics of samples with bounds that need
// no distribution, conformity probabilities and tolerance stacks. It knows no
// board.
//
// All standard uncertainties are one standard deviation. Degrees of freedom may
// be +Inf.
package uncertainty
