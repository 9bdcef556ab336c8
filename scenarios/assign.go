package scenarios

import (
	"maps"
	"strconv"
	"strings"
)

// assign carries out an assignment on the tree of a scenario. It replaces the
// whole value of its key: a law by a number, or a number by a law.
func assign(t tree, found places, assignment string) error {
	at := place{file: "--set " + strings.Join(strings.Fields(assignment), " ")}
	key, text, ok := strings.Cut(assignment, "=")
	if key = strings.TrimSpace(key); !ok || key == "" || strings.ContainsAny(assignment, "\r\n") {
		return at.errorf("an assignment is KEY=VALUE, such as collector.stray_light=0.02")
	}
	value, inner, err := assigned(at.file, text)
	if err != nil {
		return at.errorf("%s is given no value that TOML knows: %v", key, err)
	}
	target, prefix := t, ""
	if rest, ok := strings.CutPrefix(key, "light."); ok {
		lights, names := lightsOf(t)
		i, inner := lightOf(names, rest)
		if i < 0 {
			return at.errorf("there is no light of that name; write light.NAME.KEY with NAME one of %s", strings.Join(names, ", "))
		}
		target, key, prefix = lights[i], inner, "light."+strconv.Itoa(i)
	}
	parts := strings.Split(key, ".")
	for _, part := range parts[:len(parts)-1] {
		below, ok := target[part].(tree)
		if !ok {
			below = make(tree)
			target[part] = below
		}
		target = below
	}
	target[parts[len(parts)-1]] = value
	whole := join(prefix, key)
	for _, pair := range rivals {
		if pair[0] == whole {
			found.drop(t, pair[1])
		} else if pair[1] == whole {
			found.drop(t, pair[0])
		}
	}
	// What the old value held within is gone.
	maps.DeleteFunc(found, func(old string, _ place) bool { return strings.HasPrefix(old, whole+".") })
	for name := range inner {
		found[join(whole, name)] = at
	}
	// The table that holds the key is given with it.
	for name := whole; name != ""; name = name[:max(strings.LastIndexByte(name, '.'), 0)] {
		if _, ok := found[name]; !ok || name == whole {
			found[name] = at
		}
	}
	return nil
}

// rivals are pairs of keys that say the same in different ways, of which a
// scenario has one. An assignment of either takes the file's other away, since
// it cannot leave it out.
var rivals = [][2]string{
	{"collector.work_function_eV", "collector.least_stopping_V"},
	{"collector.element", "collector.least_stopping_V"},
	{"collector.stray_light", "collector.reverse_ratio"},
	{"meter.resolution_A", "meter.digit_over_brightest"},
	{"meter.steps", "meter.digit_over_brightest"},
	{"meter.full_scales_A", "meter.full_scale_over_largest"},
	{"meter.range_A", "meter.full_scale_over_largest"},
	{"plan.stop_V", "plan.stop_beyond_V"},
}

// drop takes a key of the file away, but not one that was assigned.
func (p places) drop(t tree, key string) {
	if _, ok := p[key]; !ok || p.assigned(key) {
		return
	}
	table, name, _ := strings.Cut(key, ".")
	if below, ok := t[table].(tree); ok {
		delete(below, name)
	}
	maps.DeleteFunc(p, func(old string, _ place) bool { return old == key || strings.HasPrefix(old, key+".") })
}

// assigned returns the value of an assignment and the places of the keys within
// it. A word needs no quotes on the command line.
func assigned(file, text string) (any, places, error) {
	whole := []byte("value = " + text)
	t, err := parse(file, whole)
	if err != nil || len(t) != 1 {
		word := strings.TrimSpace(text)
		if strings.ContainsAny(word, "{}[]\"'") {
			// Not a word, but a table or a list with a mistake.
			return nil, nil, errPlain(err)
		}
		return word, nil, nil
	}
	found, err := locate(file, whole)
	if err != nil {
		return nil, nil, err
	}
	inner := make(places)
	for name, at := range found {
		if rest, ok := strings.CutPrefix(name, "value."); ok {
			inner[rest] = at
		}
	}
	return t["value"], inner, nil
}

// errPlain returns what is wrong without a place within an assignment, which is
// no help.
func errPlain(err error) error {
	if e, ok := err.(*Error); ok {
		return plainError(e.Problem)
	}
	return plainError("it has more than one value")
}

// plainError is an error that is its text.
type plainError string

// Error returns the text.
func (e plainError) Error() string { return string(e) }

// lightsOf returns the lights of a tree and their names.
func lightsOf(t tree) (lights []tree, names []string) {
	entries, _ := t["light"].([]any)
	for _, entry := range entries {
		light, ok := entry.(tree)
		if !ok {
			light = make(tree)
		}
		name, _ := light["name"].(string)
		lights, names = append(lights, light), append(names, name)
	}
	return lights, names
}

// lightOf returns the index of the light that a key begins with, or -1, and the
// rest of the key.
func lightOf(names []string, key string) (int, string) {
	for i, name := range names {
		if rest, ok := strings.CutPrefix(key, name+"."); ok && name != "" {
			return i, rest
		}
	}
	return -1, ""
}
