package transient

import (
	"fmt"
	"testing"

	"cupel/internal/circuit/circuittest/documented"
)

func TestDocumented(t *testing.T) {
	documented.Says(t,
		fmt.Sprintf("at most %d times the last", growth),
		fmt.Sprintf("next step is %g of what the estimate asks for", safety),
		fmt.Sprintf("at most %g of itself", doubt),
		fmt.Sprintf("could grow by less than %g stays", keep),
		fmt.Sprintf("A step of %g ns or less is never taken back", fastest*1e9),
		fmt.Sprintf("A step below %g s is a failure", leastStep),
		fmt.Sprintf("does not converge in %d iterations", newtons),
		fmt.Sprintf("hysteresis of %g µV", margin*1e6),
		fmt.Sprintf("(within %g ns)", landing*1e9),
		fmt.Sprintf("more than %g %% of the heat", burnt*100),
		fmt.Sprintf("until %g is left", spent),
		fmt.Sprintf("backward Euler step of %g s", instant),
		fmt.Sprintf("at most %d times.", rounds),
		fmt.Sprintf("steady within %g %% over %d changes", spacing*100, remembered),
		fmt.Sprintf("came back within %g mV", restless*1e3),
		fmt.Sprintf("%d changes took the same time within %g %%", lot, evenly*100),
		fmt.Sprintf("(inside a step a last move of at most a %dth of the error allowed", share),
	)
}
