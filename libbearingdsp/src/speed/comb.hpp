#pragma once
// The comb of a turning shaft: lines at whole multiples of one rate, and the rate that fits them.
// Private to speed/.
#include <array>
#include <optional>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/core/basis.hpp"
#include "lines.hpp"

namespace bearingdsp::speed_detail {

// One line set made ready for scoring: for each line the density of chance lines as prominent.
struct Field {
  const LineSet* set;
  const ModelParameters* model;
  std::vector<double> density;  // lines per Hz at least half as prominent, in the neighbourhood
  std::vector<bool> mains;      // stands at a multiple of the mains frequency
  bool vibration;
  double seed_floor{0};  // lines below it start no family
};

Field make_field(const LineSet& set, bool vibration, const Basis& basis);

using Fields = std::array<Field, 2>;  // vibration, envelopes

// Line nearest to f, or -1.
int nearest(const std::vector<Line>& lines, double f);

struct Scored {
  double f{0};
  double sigma{0};
  double score{0};
  double vibration_score{0};
  double envelope_score{0};
  double defect_score{0};
  double supply_score{0};
  double own_score{0};  // without the defect families
  int vibration_lines{0};
  int envelope_lines{0};
  int low_lines{0};         // of 1x and 2x, in vibration and envelopes
  bool is_separate{false};  // one of these in the vibration that no chance makes
  int defect_lines{0};
  bool from_defect{false};  // no line of the shaft itself: the rate follows from a family
};

// Rate that fits all matched lines best, from a start good to about a third of a line's width at
// the harmonics in reach; harmonics are taken in rising order as the fit narrows.
void refine(const Fields& fields, Scored& s);

// The fit once more, with an offset of its own for each line of the bearing and its sidebands: they
// lie 1x apart, so that they tell the rate by how far apart they are, not by where they stand. A
// line of the bearing taken for a harmonic would pull the rate, and be sure of it.
void fit_apart(const Fields& fields, const std::optional<DefectOrders>& orders, Scored& s);

}  // namespace bearingdsp::speed_detail
