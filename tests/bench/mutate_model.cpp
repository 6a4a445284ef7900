// Is every constant of the engine noticed? Each is moved by 20 % both ways while simulated
// recordings are diagnosed; one whose move changes no number of any of them decides nothing.
//
//   mutate_model REFERENCE.csv MUTATIONS.csv          fails where a number is not the one written
//                                                     down, or a constant is not noticed any more
//   mutate_model --write REFERENCE.csv MUTATIONS.csv [NAME...]  writes both. NAME: only cases whose
//                                                     names begin so, for moves without a case yet
//
// Results and what is not noticed: docs/validation/mutations.md
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/model_table.hpp"
#include "support/model_cases.hpp"

using namespace bearingdsp;

namespace {

/// Relative beyond 1, absolute below: what rounding in another transform may do is far less.
constexpr double tolerance = 1e-5;
constexpr std::array moves{0.8, 1.2};

double seconds() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

bool differ(const std::vector<double>& a, const std::vector<double>& b) {
  if (a.size() != b.size()) return true;
  for (std::size_t i = 0; i < a.size(); ++i)
    if (!(std::abs(a[i] - b[i]) <= tolerance * std::max(1.0, std::abs(a[i])))) return true;
  return false;
}

/// The value moved, within what is allowed; whole numbers by one at least.
double moved(const ModelParameter& p, double value, double by) {
  double v = value * by;
  if (p.whole) {
    v = std::round(v);
    if (v == value) v += by > 1 ? 1 : -1;
  }
  return std::clamp(v, p.least, p.most);
}

/// Moves the constant; false where its range ends there.
bool move(ModelParameters& model, std::size_t parameter, double by) {
  const ModelParameter& p = model_parameters()[parameter];
  const double value = model_value(model, parameter);
  const double v = moved(p, value, by);
  return v != value && set_model_value(model, p.name, v);
}

std::vector<std::string> split(const std::string& line) {
  std::vector<std::string> out{""};
  for (const char c : line)
    if (c == ',')
      out.emplace_back();
    else
      out.back() += c;
  return out;
}

double number(const std::string& text) {
  double v = 0;
  std::from_chars(text.data(), text.data() + text.size(), v);
  return v;
}

/// By constant, then by move: the name of the case that notices, "none", or "limit" where the range
/// of the constant ends.
using Noticed = std::vector<std::array<std::string, moves.size()>>;

bool is_case(std::string_view written) { return written != "none" && written != "limit"; }

class Bench {
 public:
  Bench() : cases_{test::model_cases()}, shipped_(cases_.size()), cost_(cases_.size()) {}

  [[nodiscard]] std::span<const test::ModelCase> cases() const { return cases_; }

  [[nodiscard]] std::optional<std::size_t> find(std::string_view name) const {
    for (std::size_t i = 0; i < cases_.size(); ++i)
      if (cases_[i].name == name) return i;
    return std::nullopt;
  }

  /// The numbers of a case under the constants as they are shipped.
  const std::vector<double>& shipped(std::size_t i) {
    if (shipped_[i].empty()) {
      const double before = seconds();
      shipped_[i] = cases_[i].outputs({}, plans_);
      cost_[i] = seconds() - before;
    }
    return shipped_[i];
  }

  bool notices(std::size_t i, const ModelParameters& model) {
    return differ(shipped(i), cases_[i].outputs(model, plans_));
  }

  /// Which of the constants the case notices when they are moved. All are moved together first,
  /// then halves of what made a difference: most cases notice few of those that are left.
  void search(std::size_t i, std::span<const std::size_t> parameters, std::size_t m,
              Noticed& noticed) {
    ModelParameters model;
    for (const std::size_t p : parameters) (void)move(model, p, moves[m]);
    if (parameters.empty() || !notices(i, model)) return;
    if (parameters.size() == 1) {
      noticed[parameters[0]][m] = cases_[i].name;
      return;
    }
    const std::size_t half = parameters.size() / 2;
    search(i, parameters.first(half), m, noticed);
    search(i, parameters.subspan(half), m, noticed);
  }

  /// The cases whose names begin with one of these, those that cost least first; all for none.
  std::vector<std::size_t> cheapest_first(std::span<const std::string> begins) {
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < cases_.size(); ++i) {
      if (!begins.empty() &&
          std::none_of(begins.begin(), begins.end(),
                       [&](const std::string& begin) { return cases_[i].name.starts_with(begin); }))
        continue;
      (void)shipped(i);
      order.push_back(i);
    }
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return cost_[a] < cost_[b]; });
    return order;
  }

 private:
  FftPlans plans_;
  std::vector<test::ModelCase> cases_;
  std::vector<std::vector<double>> shipped_;
  std::vector<double> cost_;  // s of processor time
};

/// What is written in a table of mutations; empty where it is not that of these constants.
Noticed read_mutations(const std::string& path) {
  std::ifstream in{path};
  std::string line;
  std::getline(in, line);
  Noticed noticed;
  while (std::getline(in, line)) {
    const auto fields = split(line);
    if (fields.size() != 3 || noticed.size() >= model_parameters().size() ||
        fields[0] != model_parameters()[noticed.size()].name) {
      fmt::print("{}: row {} is not that of the constant\n", path, noticed.size() + 1);
      return {};
    }
    noticed.push_back({fields[1], fields[2]});
  }
  if (noticed.size() == model_parameters().size()) return noticed;
  fmt::print("{}: {} constants, not {}\n", path, noticed.size(), model_parameters().size());
  return {};
}

void write_files(Bench& bench, const Noticed& noticed, const std::string& reference,
                 const std::string& mutations) {
  std::vector<bool> named(bench.cases().size(), false);
  std::ofstream table{mutations};
  table << "name,down,up\n";
  for (std::size_t p = 0; p < noticed.size(); ++p) {
    table << model_parameters()[p].name << ',' << noticed[p][0] << ',' << noticed[p][1] << '\n';
    for (const std::string& by : noticed[p])
      if (const auto i = bench.find(by)) named[*i] = true;
  }
  std::ofstream out{reference};
  for (std::size_t i = 0; i < named.size(); ++i) {
    if (!named[i]) continue;
    out << bench.cases()[i].name;
    for (const double v : bench.shipped(i)) out << fmt::format(",{:.9g}", v);
    out << '\n';
  }
}

/// What is noticed already: what is written, where it still holds, if it is to be kept.
Noticed noticed_before(Bench& bench, const std::string& mutations, bool keep) {
  Noticed noticed = keep ? read_mutations(mutations) : Noticed{};
  noticed.resize(model_parameters().size(), {"none", "none"});
  for (std::size_t p = 0; p < noticed.size(); ++p)
    for (std::size_t m = 0; m < moves.size(); ++m) {
      ModelParameters model;
      const auto i = bench.find(noticed[p][m]);
      if (!move(model, p, moves[m]))
        noticed[p][m] = "limit";
      else if (!i || !bench.notices(*i, model))
        noticed[p][m] = "none";
    }
  return noticed;
}

int write(const std::string& reference, const std::string& mutations,
          std::span<const std::string> begins) {
  Bench bench;
  Noticed noticed = noticed_before(bench, mutations, !begins.empty());
  for (const std::size_t i : bench.cheapest_first(begins)) {
    const double before = seconds();
    std::size_t found = 0;
    for (std::size_t m = 0; m < moves.size(); ++m) {
      std::vector<std::size_t> left;
      for (std::size_t p = 0; p < noticed.size(); ++p)
        if (noticed[p][m] == "none") left.push_back(p);
      bench.search(i, left, m, noticed);
      for (const std::size_t p : left) found += is_case(noticed[p][m]) ? 1U : 0U;
    }
    fmt::print("{}: {} more moves noticed, {:.2f} s\n", bench.cases()[i].name, found,
               seconds() - before);
  }
  write_files(bench, noticed, reference, mutations);
  return 0;
}

/// Whether every number of the cases that notice something is the one written down.
bool as_written(Bench& bench, const std::string& path) {
  std::ifstream in{path};
  bool good = true;
  std::size_t count = 0;
  for (std::string line; std::getline(in, line); ++count) {
    const auto fields = split(line);
    std::vector<double> numbers;
    for (std::size_t k = 1; k < fields.size(); ++k) numbers.push_back(number(fields[k]));
    const auto i = bench.find(fields[0]);
    if (i && !differ(bench.shipped(*i), numbers)) continue;
    fmt::print("{}: {}\n", fields[0], i ? "not as written down" : "no such case");
    good = false;
  }
  if (count == 0) fmt::print("{}: no case\n", path);
  return good && count > 0;
}

int check(const std::string& reference, const std::string& mutations) {
  Bench bench;
  const Noticed noticed = read_mutations(mutations);
  bool good = as_written(bench, reference) && !noticed.empty();
  std::size_t count = 0;
  for (std::size_t p = 0; p < noticed.size(); ++p) {
    bool by_any = false;
    for (std::size_t m = 0; m < moves.size(); ++m) {
      if (!is_case(noticed[p][m])) continue;
      by_any = true;
      const auto i = bench.find(noticed[p][m]);
      ModelParameters model;
      if (i && move(model, p, moves[m]) && bench.notices(*i, model)) continue;
      fmt::print("{} times {}: not noticed by {}\n", model_parameters()[p].name, moves[m],
                 noticed[p][m]);
      good = false;
    }
    if (by_any)
      ++count;
    else
      fmt::print("{}: noticed by nothing\n", model_parameters()[p].name);
  }
  fmt::print("{} of {} constants are noticed: {}\n", count, model_parameters().size(),
             good ? "all as written down" : "see above");
  return good ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> args(argv + 1, argv + argc);
  if (args.size() > 2 && args[0] == "--write")
    return write(args[1], args[2], std::span{args}.subspan(3));
  if (args.size() == 2) return check(args[0], args[1]);
  fmt::print(stderr, "usage: mutate_model [--write] REFERENCE.csv MUTATIONS.csv [NAME...]\n");
  return 2;
}
