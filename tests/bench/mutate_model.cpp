// Is every constant of the engine noticed? Each is moved by 20 % both ways while simulated
// recordings are diagnosed; one whose move changes no number of any of them decides nothing.
//
//   mutate_model REFERENCE.csv MUTATIONS.csv          fails where a number is not the one written
//                                                     down, or a constant is not noticed any more
//   (rows that say none, untried or limit are passed over)
//   mutate_model --write REFERENCE.csv MUTATIONS.csv [SECONDS]  writes both; SECONDS: after so
//                                                     much time a move counts as not noticed
//
// Results and what is not noticed: docs/validation/mutations.md
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bearingdsp/core/model_table.hpp"
#include "support/model_cases.hpp"

using namespace bearingdsp;

namespace {

/// Relative beyond 1, absolute below: what rounding in another transform may do is far less.
constexpr double tolerance = 1e-5;
constexpr std::array moves{0.8, 1.2};
constexpr double unlimited = 1e9;  // s

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

/// Constants that only the causes other than the bearing use.
bool of_causes(std::string_view name) {
  constexpr std::array groups{"causes",  "shaft", "unbalance",  "misalignment", "looseness",
                              "rubbing", "mains", "rotor_bars", "erosion",      "lubrication"};
  const std::string_view group = name.substr(0, name.find('.'));
  return std::find(groups.begin(), groups.end(), group) != groups.end();
}

/// none: no case noticed; untried: nothing was asked yet; limit: cannot be moved that way.
bool not_noticed(std::string_view written) {
  return written == "none" || written == "untried" || written == "limit";
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

class Bench {
 public:
  Bench() : cases_{test::model_cases()} {
    std::vector<double> cost;
    for (const test::ModelCase& c : cases_) {
      const double before = seconds();
      order_.push_back(order_.size());
      shipped_.push_back(c.outputs({}, plans_));
      cost.push_back(seconds() - before);
    }
    constexpr double dear = 0.15;  // s
    std::stable_partition(order_.begin(), order_.end(),
                          [&](std::size_t i) { return cost[i] < dear; });
  }

  void write_reference(const std::string& path) const {
    std::ofstream out{path};
    for (std::size_t i = 0; i < cases_.size(); ++i) {
      out << cases_[i].name;
      for (const double v : shipped_[i]) out << fmt::format(",{:.9g}", v);
      out << '\n';
    }
  }

  /// Whether every number is the one written down.
  [[nodiscard]] bool as_written(const std::string& path) const {
    std::ifstream in{path};
    std::map<std::string, std::vector<double>> written;
    for (std::string line; std::getline(in, line);) {
      const auto fields = split(line);
      for (std::size_t i = 1; i < fields.size(); ++i)
        written[fields[0]].push_back(number(fields[i]));
    }
    bool good = written.size() == cases_.size();
    if (!good) fmt::print("{}: {} cases, not {}\n", path, written.size(), cases_.size());
    for (std::size_t i = 0; i < cases_.size(); ++i) {
      if (!differ(shipped_[i], written[cases_[i].name])) continue;
      fmt::print("{}: not as written down\n", cases_[i].name);
      good = false;
    }
    return good;
  }

  /// The first case that notices; only that one is asked where it is named. "none" if none does.
  /// Ends after so many seconds of processor time.
  std::string noticed_by(std::size_t parameter, double by, const std::string& only, double budget) {
    const double end = seconds() + budget;
    const ModelParameter& p = model_parameters()[parameter];
    ModelParameters model;
    const double v = moved(p, model_value(model, parameter), by);
    if (v == model_value(model, parameter) || !set_model_value(model, p.name, v)) return "limit";
    for (std::size_t place = 0; place < order_.size() && seconds() < end; ++place) {
      const std::size_t i = order_[place];
      if (only.empty() ? cases_[i].causes_only != of_causes(p.name) : cases_[i].name != only)
        continue;
      if (!differ(shipped_[i], cases_[i].outputs(model, plans_))) continue;
      // What noticed one constant is likely to notice its neighbours.
      std::rotate(order_.begin(), order_.begin() + static_cast<std::ptrdiff_t>(place),
                  order_.begin() + static_cast<std::ptrdiff_t>(place) + 1);
      return cases_[i].name;
    }
    return "none";
  }

 private:
  FftPlans plans_;
  std::vector<test::ModelCase> cases_;
  std::vector<std::vector<double>> shipped_;
  std::vector<std::size_t> order_;  // in which cases are asked
};

int write(const std::string& reference, const std::string& mutations, double budget) {
  // What noticed a move before is asked first.
  std::map<std::string, std::vector<std::string>, std::less<>> before;
  std::ifstream in{mutations};
  for (std::string line; std::getline(in, line);)
    if (const auto fields = split(line); fields.size() == 3)
      before[fields[0]] = {fields[1], fields[2]};
  in.close();
  Bench bench;
  bench.write_reference(reference);
  std::ofstream out{mutations};
  out << "name,down,up\n";
  for (std::size_t i = 0; i < model_parameters().size(); ++i) {
    const auto name = model_parameters()[i].name;
    out << name;
    const auto known = before.find(name);
    for (std::size_t m = 0; m < moves.size(); ++m) {
      std::string seen = "none";
      if (known != before.end() && !not_noticed(known->second[m]))
        seen = bench.noticed_by(i, moves[m], known->second[m], unlimited);
      if (seen == "none") seen = bench.noticed_by(i, moves[m], "", budget);
      out << ',' << seen;
    }
    out << std::endl;
  }
  return 0;
}

/// Whether a constant is noticed as it was, or is known as one that is not.
bool check(Bench& bench, std::size_t i, const std::vector<std::string>& written) {
  bool good = true;
  for (std::size_t m = 0; m < moves.size(); ++m) {
    if (not_noticed(written[1 + m])) continue;
    if (bench.noticed_by(i, moves[m], written[1 + m], unlimited) != "none") continue;
    fmt::print("{} times {}: not noticed by {}\n", written[0], moves[m], written[1 + m]);
    good = false;
  }
  return good;
}

int check(const std::string& reference, const std::string& mutations) {
  Bench bench;
  bool good = bench.as_written(reference);
  std::ifstream in{mutations};
  std::string line;
  std::getline(in, line);
  std::size_t i = 0;
  for (; std::getline(in, line); ++i) {
    const auto fields = split(line);
    if (fields.size() != 3 || i >= model_parameters().size() ||
        fields[0] != model_parameters()[i].name) {
      fmt::print("{}: row {} is not that of the constant\n", mutations, i + 1);
      return 1;
    }
    good = check(bench, i, fields) && good;
  }
  if (i != model_parameters().size()) {
    fmt::print("{}: {} constants, not {}\n", mutations, i, model_parameters().size());
    good = false;
  }
  fmt::print("{} constants: {}\n", i, good ? "all as written down" : "see above");
  return good ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> args(argv + 1, argv + argc);
  if (args.size() > 2 && args.size() < 5 && args[0] == "--write")
    return write(args[1], args[2], args.size() > 3 ? number(args[3]) : unlimited);
  if (args.size() == 2) return check(args[0], args[1]);
  fmt::print(stderr, "usage: mutate_model [--write] REFERENCE.csv MUTATIONS.csv [SECONDS]\n");
  return 2;
}
