package instrument

// An EffectID says which effect is meant. It is the trade's English word for the
// effect, and stands in files; what people read of an effect is looked up by it.
type EffectID string

// An Effect is one cause that rounds the knee or moves the cutoff.
type Effect struct {
	// ID is like no other effect's.
	ID EffectID
	// Place is where the effect stands when a knee is built up.
	Place Place
	// Keys are those of a scenario that make the effect or describe it, as in
	// an assignment; light.NAME stands for every setting.
	Keys []string
	// Off returns the apparatus without the effect. The argument is not
	// changed.
	Off func(Apparatus) Apparatus
	// Numbers returns what the effect is about on an apparatus, at a setting as
	// the bench has it, in SI units, eV, nm or fractions; nil where there is
	// nothing to be said in numbers.
	Numbers func(Apparatus, Light) map[string]float64
}

// A Place orders the steps by which a knee is built up: the lesser comes first,
// and effects of one place in the order of Effects.
type Place int

// The parts of the order. Within a part, the effects of a cell stand at distances
// that leave room between them.
const (
	// MovesCorner is what moves the corner of the textbook's curve.
	MovesCorner Place = 100 * (iota + 1)
	// RoundsKnee is what rounds it.
	RoundsKnee
	// AddsCurrent is what adds a current of its own.
	AddsCurrent
	// ActsOnReadings is what changes the readings and not the mean current.
	ActsOnReadings
)

// Effects returns those that an apparatus can have, in the order in which they
// are switched off together.
func Effects() []Effect {
	return []Effect{
		thermalSmearing(),
		angularSpread(),
		bandAndMultiplet(),
		contactPotential(),
		shiftOfLine(),
		patches(),
		emitterMetal(),
		reverseEmission(),
		reverseThreshold(),
		reverseGeometry(),
		strayByWavelength(),
		neighbourLine(),
		nominalWavelength(),
		ambientLight(),
		thermionicEmission(),
		reflection(),
		magneticField(),
		emissionBeyondThreshold(),
		filmEmission(),
		inelasticLoss(),
		twoEmitters(),
		leakage(),
		meterNoise(),
		meterOffset(),
		resolution(),
		meterGain(),
		meterDrift(),
		slowResponse(),
		burden(),
		fullScale(),
		parallax(),
		displacementCurrent(),
		dielectricAbsorption(),
		voltmeterError(),
		supplyError(),
		supplyRipple(),
		mainsHum(),
		lampWarmUp(),
		lampDrift(),
		lampFlicker(),
		lampRipple(),
	}
}
