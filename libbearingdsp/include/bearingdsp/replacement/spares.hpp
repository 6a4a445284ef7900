#pragma once
/// Which bearings and seals lie on the shelf, and how many.
#include <string>
#include <vector>

#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/machine/machine.hpp"

namespace bearingdsp {

struct SpareOptions {
  double lead_weeks{4};   ///< from order to shelf
  double life_years{5};   ///< mean time between two replacements of one bearing
  double shortage{0.05};  ///< accepted probability that the shelf is empty when one is needed
};

/// One item of the shelf.
struct Spare {
  std::string item;                  ///< "6205-2Z/C3", or the words of a seal
  bool seal{false};                  ///< a shaft seal, not a bearing
  std::vector<std::string> used_at;  ///< "saw-1 DE"
  int keep{0};                       ///< pieces
  std::vector<std::string> equals;   ///< the same bearing in other manufacturers' suffixes
  std::vector<std::string> notes;    ///< what has to be looked at before ordering
};

/// Storage of a kind of part.
struct ShelfLife {
  std::string part;
  double years{0};
  std::string how;
  std::string source;  ///< with how far it was confirmed
};
/// Source: data/shelf_life.csv
[[nodiscard]] const std::vector<ShelfLife>& shelf_lives();

struct SpareList {
  std::vector<Spare> spares;             ///< bearings, most used first, then seals
  std::vector<std::string> not_known;    ///< ends without a designation that can be read
  std::vector<std::string> assumptions;  ///< what the numbers rest on
};

/// Smallest number whose chance to be exceeded by Poisson demand of this mean is at most
/// `shortage`.
/// Errors: std::invalid_argument (caller's bug) unless 0 <= mean <= 1e7 and 0 < shortage < 1
/// Source: Poisson distribution, closed form
[[nodiscard]] int pieces_for(double mean_demand, double shortage);

/// The same bearing in other spellings of suffixes that mean the same: "6205 ZZ C3" of
/// "6205-2Z/C3". Closures alone are exchanged, and only where every row has one meaning.
/// Source: data/designation_suffixes.csv
[[nodiscard]] std::vector<std::string> equivalent_designations(const Designation& designation);

/// Over the machines: each bearing once, however it is written; pieces for the demand of the lead
/// time, at least as many as one motor takes of it, because both ends are renewed together. Pure.
/// Errors: std::invalid_argument (caller's bug) unless weeks and years are above 0
[[nodiscard]] SpareList spare_list(const std::vector<Machine>& machines,
                                   const SpareOptions& options = {});

}  // namespace bearingdsp
