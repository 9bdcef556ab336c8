package words

// KeysOfParts stands over tables of a scenario's keys.
const KeysOfParts = "A key begins with the part of the bench that it is of; the emitter is the photocathode, and the collector the anode."

// OrderMatters is said wherever steps are shown.
const OrderMatters = "How large a step looks depends on the order in which the causes are added: what comes late finds a knee that is round already."
