package words

// Cautions are the safety notes of every page.
func Cautions() []string {
	return []string{
		"Your local rules and trained staff come first; nothing on this page replaces them.",
		"A mercury lamp emits ultraviolet that harms eyes and skin: keep it in its closed housing, never look into it, and use no lamp whose outer bulb is broken.",
		"Lamp and housing are hot, and stay so for a long time after they are switched off.",
		"A broken lamp releases mercury vapour: leave and air the room, and have trained staff clean it up.",
		"The alkali metal in a photocell reacts with water and air: never open a cell, and leave a broken one to trained staff.",
		"Lamp supplies carry dangerous voltages: unplug before you touch a socket.",
	}
}
