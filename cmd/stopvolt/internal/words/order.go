package words

// OrderMatters is said wherever steps are shown.
const OrderMatters = "How large a step looks depends on the order in which the causes are added: what comes late finds a knee that is round already."
