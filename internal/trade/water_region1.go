package trade

import "math"

// The constants of IAPWS R7-97(2012): the specific gas constant of water, J/(kg·K) (equation 1), and what reduces
// pressure (Pa) and temperature (K) in region 1 (equation 7).
const (
	if97GasConstant        = 461.526
	region1ReducePressure  = 16.53e6
	region1ReduceT         = 1386.0
	region1OffsetPressure  = 7.1
	region1OffsetT         = 1.222
	region1MostI           = 32
	region1MostJ           = 17
	region1LeastJ          = -41
	region1PowersOfInverse = -region1LeastJ
)

// region1Term is one row of table 2 of R7-97: n·(7.1 − π)^i·(τ − 1.222)^j.
type region1Term struct {
	i, j int
	n    float64
}

// region1Terms is table 2 of R7-97, every row in the table's order.
var region1Terms = [...]region1Term{
	{0, -2, 1.4632971213167e-01},
	{0, -1, -8.4548187169114e-01},
	{0, 0, -3.7563603672040e+00},
	{0, 1, 3.3855169168385e+00},
	{0, 2, -9.5791963387872e-01},
	{0, 3, 1.5772038513228e-01},
	{0, 4, -1.6616417199501e-02},
	{0, 5, 8.1214629983568e-04},
	{1, -9, 2.8319080123804e-04},
	{1, -7, -6.0706301565874e-04},
	{1, -1, -1.8990068218419e-02},
	{1, 0, -3.2529748770505e-02},
	{1, 1, -2.1841717175414e-02},
	{1, 3, -5.2838357969930e-05},
	{2, -3, -4.7184321073267e-04},
	{2, 0, -3.0001780793026e-04},
	{2, 1, 4.7661393906987e-05},
	{2, 3, -4.4141845330846e-06},
	{2, 17, -7.2694996297594e-16},
	{3, -4, -3.1679644845054e-05},
	{3, 0, -2.8270797985312e-06},
	{3, 6, -8.5205128120103e-10},
	{4, -5, -2.2425281908000e-06},
	{4, -2, -6.5171222895601e-07},
	{4, 10, -1.4341729937924e-13},
	{5, -8, -4.0516996860117e-07},
	{8, -11, -1.2734301741641e-09},
	{8, -6, -1.7424871230634e-10},
	{21, -29, -6.8762131295531e-19},
	{23, -31, 1.4478307828521e-20},
	{29, -38, 2.6335781662795e-23},
	{30, -39, -1.1947622640071e-23},
	{31, -40, 1.8228094581404e-24},
	{32, -41, -9.3537087292458e-26},
}

// gibbs holds what the dimensionless Gibbs free energy of region 1 and its derivatives are made of, at one state.
// The suffixes say by what it was differentiated: p by reduced pressure π, t by reduced inverse temperature τ.
type gibbs struct {
	tau                   float64
	g, p, pp, t, tt, both float64
}

// region1Powers fills up with 1, a, a², …: every power that table 2 asks of a.
func region1Powers(up []float64, a float64) {
	v := 1.0
	for k := range up {
		up[k] = v
		v *= a
	}
}

// region1At works out γ and its derivatives at t kelvin and p pascal, which the caller knows to be in region 1.
//
// Each derivative of a term is the term times its exponents over the bracket, so one pass over the table serves all of
// them; neither bracket is zero anywhere in region 1 (7.1 − π ≥ 1.05, τ − 1.222 ≥ 1.00).
func region1At(t, p float64) gibbs {
	a := region1OffsetPressure - p/region1ReducePressure
	tau := region1ReduceT / t
	b := tau - region1OffsetT

	var pa [region1MostI + 1]float64
	var pb [region1MostJ + 1]float64
	var pc [region1PowersOfInverse + 1]float64
	region1Powers(pa[:], a)
	region1Powers(pb[:], b)
	region1Powers(pc[:], 1/b)

	var g, gi, gii, gj, gjj, gij float64
	for k := range region1Terms {
		term := &region1Terms[k]
		var v float64
		if term.j >= 0 {
			v = term.n * pa[term.i] * pb[term.j]
		} else {
			v = term.n * pa[term.i] * pc[-term.j]
		}
		i, j := float64(term.i), float64(term.j)
		g += v
		gi += float64(i * v)
		gii += float64(i * (i - 1) * v)
		gj += float64(j * v)
		gjj += float64(j * (j - 1) * v)
		gij += float64(i * j * v)
	}
	return gibbs{
		tau: tau,
		g:   g,
		p:   -gi / a, pp: gii / (a * a),
		t: gj / b, tt: gjj / (b * b),
		both: -gij / (a * b),
	}
}

// region1Volume is v, m³/kg: π·γπ·R·T/p, which loses p because π is p over a constant.
func region1Volume(t, p float64) float64 { return region1At(t, p).volume(t) }

// The methods below are the relations of table 3 of R7-97; t is the temperature in kelvin that the state was made at.

func (s gibbs) volume(t float64) float64 { return s.p * if97GasConstant * t / region1ReducePressure }

func (s gibbs) enthalpy(t float64) float64 { return s.tau * s.t * if97GasConstant * t }

func (s gibbs) entropy() float64 { return if97GasConstant * (float64(s.tau*s.t) - s.g) }

func (s gibbs) heatCapacity() float64 { return -if97GasConstant * s.tau * s.tau * s.tt }

// cross is γπ − τ·γπτ, of which the relations below are made.
func (s gibbs) cross() float64 { return s.p - float64(s.tau*s.both) }

// heatCapacityAtVolume is cv, J/(kg·K).
func (s gibbs) heatCapacityAtVolume() float64 {
	return if97GasConstant * (float64(-s.tau*s.tau*s.tt) + float64(s.cross()*s.cross()/s.pp))
}

// soundSpeed is in m/s.
func (s gibbs) soundSpeed(t float64) float64 {
	c := s.cross()
	return math.Sqrt(if97GasConstant * t * s.p * s.p / (float64(c*c/(s.tau*s.tau*s.tt)) - s.pp))
}

// densityByPressure is (∂ρ/∂p) at constant temperature, kg/(m³·Pa).
func (s gibbs) densityByPressure(t float64) float64 {
	return -s.pp / (s.p * s.p * if97GasConstant * t)
}
