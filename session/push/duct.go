package push

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	q "brinkmark/session/quantity"
)

// pipeDiameters are the outer diameters of duct in iron pipe sizes, in inches.
//
// Source: ASTM D3035 and ASTM F2160, from memory; the same as those of ASME B36.10M.
var pipeDiameters = map[float64]float64{
	0.5: 0.840, 0.75: 1.050, 1: 1.315, 1.25: 1.660, 1.5: 1.900, 2: 2.375,
	2.5: 2.875, 3: 3.500, 4: 4.500, 5: 5.563, 6: 6.625,
}

// ratios are the ratios of outer diameter to wall in which such duct is made.
var ratios = map[string]float64{"9": 9, "11": 11, "13.5": 13.5, "15.5": 15.5, "17": 17}

const longestSize = 40 // bytes

const leastWall = 0.062 // in; ASTM D3035, from memory

var (
	pipeSize = regexp.MustCompile(`^([0-9.][0-9. /-]*)(?:in\.?|inch|inches|") *(?:ips)? *s?dr *[-:]? *([0-9.]+)$`)
	boreSize = regexp.MustCompile(`^([0-9]+(?:\.[0-9]+)?) ?/ ?([0-9]+(?:\.[0-9]+)?) ?(?:mm)?$`)

	plainSize = strings.NewReplacer("¼", " 1/4", "½", " 1/2", "¾", " 3/4", "”", `"`, "″", `"`, "''", `"`, "⁄", "/")
)

// InnerDiameter returns the bore of a duct from its size, and the rule behind it in
// words. A measured bore is better than any.
//
//	ID = OD − 2·t,  t = OD/SDR, at least 0.062 in, to the next 0.001 in
//
// for a size such as "1.25 in SDR 11", "1-1/4 in SDR11" or `1¼" SDR 13.5`, where OD is
// the outer diameter of that iron pipe size and t the least wall the standard allows;
// and the second number of a size such as "40/33" or "14/10 mm", which are outer and
// inner diameter in mm. Pipe sizes are ½ to 6 in, with SDR 9, 11, 13.5, 15.5 or 17.
//
// The least wall gives the widest bore. Walls may be 12 % thicker, and trade tables
// often count on 6 %; but a wide bore folds a cable sooner, so the widest is the safe
// one, and it rests on the standard alone.
//
// InnerDiameter returns an error for any other text: the bore must then be measured.
//
// Source: ASTM D3035 and ASTM F2160, diameters and wall rule from memory; metric and
// microduct sizes by common practice, no source.
func InnerDiameter(size string) (id q.Length, rule string, err error) {
	if len(size) > longestSize {
		return 0, "", sizeError(size, "too long")
	}
	text := strings.ToLower(strings.Join(strings.Fields(plainSize.Replace(size)), " "))
	if m := pipeSize.FindStringSubmatch(text); m != nil {
		return pipeBore(size, m[1], m[2])
	}
	if m := boreSize.FindStringSubmatch(text); m != nil {
		return namedBore(size, m[1], m[2])
	}
	return 0, "", sizeError(size, "not a size whose bore is standard")
}

func pipeBore(size, inches, sdr string) (q.Length, string, error) {
	outer, ok := pipeDiameters[mixedNumber(inches)]
	if !ok {
		return 0, "", sizeError(size, "not an iron pipe size from 1/2 to 6 in")
	}
	ratio, ok := ratios[sdr]
	if !ok {
		return 0, "", sizeError(size, "the SDR must be 9, 11, 13.5, 15.5 or 17")
	}
	wall := math.Max(leastWall, math.Round(outer/ratio*1000)/1000)
	rule := fmt.Sprintf("outer diameter %.3f in less twice the least wall of %.3f in (iron pipe size, SDR %s)", outer, wall, sdr)
	return q.From[q.Length](outer-2*wall, "in"), rule, nil
}

func namedBore(size, outer, inner string) (q.Length, string, error) {
	od, id := mixedNumber(outer), mixedNumber(inner)
	if !(od >= 3 && od <= 200 && id >= od/2 && id <= 0.97*od) {
		return 0, "", sizeError(size, "no outer and inner diameter in mm")
	}
	return q.From[q.Length](id, "mm"), fmt.Sprintf("second number of the size: %s mm inner in %s mm outer diameter", inner, outer), nil
}

// mixedNumber reads "1.25", "3/4", "1 1/4" and "1-1/4"; it is 0 for anything else.
func mixedNumber(text string) float64 {
	total := 0.0
	for _, part := range strings.Fields(strings.ReplaceAll(text, "-", " ")) {
		over, under, isFraction := strings.Cut(part, "/")
		x, err := strconv.ParseFloat(over, 64)
		if isFraction && err == nil {
			var y float64
			y, err = strconv.ParseFloat(under, 64)
			x /= y
		}
		if err != nil {
			return 0
		}
		total += x
	}
	return total
}

func sizeError(size, why string) error {
	if len(size) > longestSize {
		size = strings.ToValidUTF8(size[:longestSize], "") + "…"
	}
	return fmt.Errorf(`duct size: %q: %s: measure the inner diameter, or write a size as in "1.25 in SDR 11", "40/33" or "14/10"`, size, why)
}
