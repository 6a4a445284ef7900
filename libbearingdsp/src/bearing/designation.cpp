#include "bearingdsp/bearing/designation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <utility>

#include "bearing/naming.hpp"
#include "bearingdsp/bearing/estimate.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t longest = 60;    // characters of a text worth reading
constexpr std::size_t most_wild = 3;   // unreadable characters; each one multiplies the work by 37
constexpr int unread_cost = 100;       // a character that nothing explains
constexpr int across_blank_cost = 10;  // a suffix that a blank or hyphen cuts in two
constexpr int token_cost = 1;          // so that few long suffixes win over many short ones

bool figure(char c) { return c >= '0' && c <= '9'; }
bool letter(char c) { return c >= 'A' && c <= 'Z'; }

/// What was written, without what only separates.
struct Written {
  std::string chars;        ///< A-Z, 0-9 and '?'
  std::vector<char> apart;  ///< before chars[i]: 0, ' ' for any separator, '/' for a slash
  [[nodiscard]] bool slash(std::size_t i) const { return i < apart.size() && apart[i] == '/'; }
};

void append(Written& w, char c, char& pending) {
  w.chars += c;
  w.apart.push_back(w.chars.size() == 1 ? '\0' : std::exchange(pending, '\0'));
  pending = '\0';
}

/// A hyphen or dash of Unicode separates; any other character that is not ASCII cannot be read.
std::size_t append_utf8(Written& w, std::string_view text, char& pending) {
  for (const std::string_view dash : {"\u2010", "\u2011", "\u2012", "\u2013", "\u2014", "\u00a0"})
    if (text.substr(0, dash.size()) == dash) {
      if (pending == '\0') pending = ' ';
      return dash.size();
    }
  std::size_t n = 1;
  while (n < text.size() && (static_cast<unsigned char>(text[n]) & 0xC0U) == 0x80U) ++n;
  append(w, '?', pending);
  return n;
}

Written written(std::string_view text) {
  Written w;
  char pending = '\0';
  for (std::size_t i = 0; i < text.size();) {
    const char c = text[i];
    if (static_cast<unsigned char>(c) >= 0x80) {
      i += append_utf8(w, text.substr(i), pending);
      continue;
    }
    ++i;
    const char upper = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    if (letter(upper) || figure(upper))
      append(w, upper, pending);
    else if (c == '?' || c == '*')
      append(w, '?', pending);
    else if (c == '/')
      pending = '/';
    else if (pending == '\0')
      pending = ' ';
  }
  return w;
}

/// The suffixes of one way to take them apart, and what that costs.
struct Tail {
  int cost{0};
  std::vector<const naming::Suffix*> rows;  ///< nullptr: the maker's own
  std::vector<std::string> texts;
};

bool holds_for(const naming::Suffix& row, BearingType type) {
  return row.types.empty() ||
         std::find(row.types.begin(), row.types.end(), type) != row.types.end();
}

/// Letters alone say too little to be picked out of an unknown word: the JN of GJN is no cage. What
/// holds a figure (C3, 2RS) or closes the bearing (ZZ, LLU) is.
bool stands_out(const naming::Suffix& row) {
  return std::any_of(row.text.begin(), row.text.end(), figure) ||
         (row.group == "closure" && row.text.size() > 1);
}

/// The cheapest way on from an index, by what begins there.
struct Way {
  static constexpr int none = 1 << 28;
  int cost{none};
  std::size_t end{0};
  const naming::Suffix* row{nullptr};
};
enum Begins : std::size_t { unknown_word, letters_only, outstanding };
using Ways = std::array<Way, 3>;

/// Cheapest of what may follow at index i behind a part that stands out or not.
const Way& follow(const std::vector<Ways>& ways, const Written& w, std::size_t i, bool unknown,
                  bool behind_outstanding) {
  const Ways& here = ways[i];
  const bool apart = i >= w.chars.size() || w.apart[i] != '\0';
  const auto allowed = [&](std::size_t begins) {
    if (apart) return true;
    if (unknown) return begins != letters_only;
    return begins != unknown_word || behind_outstanding;
  };
  std::size_t best = outstanding;
  for (const std::size_t k : {std::size_t{unknown_word}, std::size_t{letters_only}})
    if (allowed(k) && here[k].cost < here[best].cost) best = k;
  return here[best];
}

/// Cheapest way to read chars from `begin` on as suffixes of this type of bearing.
Tail read_tail(const Written& w, std::size_t begin, BearingType type) {
  const std::size_t n = w.chars.size();
  std::vector<Ways> ways(n + 1);
  ways[n][outstanding].cost = 0;
  for (std::size_t i = n; i-- > begin;) {
    ways[i][unknown_word] = {unread_cost + follow(ways, w, i + 1, true, false).cost, i + 1,
                             nullptr};
    for (const auto& row : naming::suffixes()) {
      const std::size_t end = i + row.text.size();
      if (end > n || w.chars.compare(i, row.text.size(), row.text) != 0 || !holds_for(row, type))
        continue;
      const bool out = stands_out(row);
      int cost = token_cost + follow(ways, w, end, false, out).cost;
      for (std::size_t k = i + 1; k < end; ++k)
        if (w.apart[k] != '\0') cost += across_blank_cost;
      Way& way = ways[i][out ? outstanding : letters_only];
      if (cost < way.cost) way = {cost, end, &row};
    }
  }
  Tail tail;
  const Way* way = &follow(ways, w, begin, false, true);
  tail.cost = way->cost;
  for (std::size_t i = begin; i < n;) {
    const std::string text = w.chars.substr(i, way->end - i);
    const bool joins = way->row == nullptr && !tail.rows.empty() && tail.rows.back() == nullptr &&
                       w.apart[i] == '\0';
    if (joins) {
      tail.texts.back() += text;
    } else {
      tail.rows.push_back(way->row);
      tail.texts.push_back(text);
    }
    i = way->end;
    way = &follow(ways, w, i, way->row == nullptr, way->row != nullptr && stands_out(*way->row));
  }
  return tail;
}

/// Bore in mm of a code of two figures.
double bore_of_code(int code) {
  constexpr double smallest[] = {10, 12, 15, 17};
  return code < 4 ? smallest[code] : 5.0 * code;
}

/// The ISO plan has all bores up to 110 mm, then 120 and every 10 mm (memory above 120 mm).
bool usual_code(int code) { return code <= 22 || (code <= 96 && code % 2 == 0); }

struct Bore {
  std::string code;
  double mm{0};
  bool usual{true};
  std::size_t end{0};  ///< index behind it
};

/// The ways to read a bore at this index: two figures, one figure (its own millimetres), or
/// millimetres after a slash.
std::vector<Bore> bores_at(const Written& w, std::size_t at, const naming::Series& series) {
  std::vector<Bore> found;
  const auto& c = w.chars;
  const bool ball = series.type == BearingType::deep_groove_ball ||
                    series.type == BearingType::self_aligning_ball;
  if (at >= c.size() || !figure(c[at])) return found;
  if (w.slash(at)) {
    for (std::size_t end = at + 1; end <= std::min(at + 4, c.size()) && figure(c[end - 1]); ++end) {
      int mm = 0;
      std::from_chars(c.data() + at, c.data() + end, mm);
      const bool thin = series.figures == "618" || series.figures == "619";
      if (mm == 22 || mm == 28 || mm == 32 || mm >= 500 || (thin && mm >= 1 && mm <= 9))
        found.push_back({fmt::format("/{}", mm), static_cast<double>(mm), true, end});
    }
    return found;
  }
  if (at + 1 < c.size() && figure(c[at + 1]) && w.apart[at + 1] == '\0') {
    const int code = 10 * (c[at] - '0') + (c[at + 1] - '0');
    if (code <= 96)
      found.push_back({c.substr(at, 2), bore_of_code(code), usual_code(code), at + 2});
  }
  if (ball && series.figures.size() == 2 && c[at] >= '3')
    found.push_back({c.substr(at, 1), static_cast<double>(c[at] - '0'), true, at + 1});
  return found;
}

ClearanceClass clearance_named(std::string_view text) {
  for (const auto c : {ClearanceClass::c1, ClearanceClass::c2, ClearanceClass::c3,
                       ClearanceClass::c4, ClearanceClass::c5, ClearanceClass::cm})
    if (name(c) == text) return c;
  return ClearanceClass::normal;
}

void take_closure(Designation& d, std::string_view value) {
  const auto colon = value.find(':');
  const std::string_view kind = value.substr(0, colon);
  d.closure = std::max(d.closure, kind == "shield" ? Closure::shield
                                  : kind == "seal" ? Closure::seal
                                                   : Closure::light_seal);
  d.closed_sides = std::min(2, d.closed_sides + (value.substr(colon + 1) == "2" ? 2 : 1));
}

/// What a suffix says, put where the program finds it.
void take(Designation& d, const naming::Suffix& s) {
  const std::string_view value = s.value;
  const auto says = [&](std::string_view word) {
    return value.find(word) != std::string_view::npos;
  };
  if (s.group == "closure") take_closure(d, value);
  if (s.group == "clearance" || (s.group == "tolerance" && says(":"))) {
    d.clearance = clearance_named(value.substr(value.find(':') + 1));
    d.clearance_marked = true;
  }
  if (s.group == "angle") {
    double degrees = 0;
    std::from_chars(value.data(), value.data() + value.size(), degrees);
    d.contact_angle = Degrees{degrees};
  }
  if (s.group == "bore") d.tapered_bore = true;
  if (says("insulated")) d.insulated_ring = true;
  if (says("hybrid")) d.ceramic_balls = true;
  if (says("polyamide") || s.meaning.find("polyamide") != std::string::npos) d.plastic_cage = true;
}

struct Reading {
  Designation designation;
  int cost{0};
  std::size_t core_end{0};
};

/// A figure that directly follows the basic number and means nothing is part of another number.
bool torn_number(const Written& w, std::size_t end, const Tail& tail) {
  return !tail.rows.empty() && tail.rows.front() == nullptr && figure(w.chars[end]) &&
         w.apart[end] == '\0';
}

void read_series_at(const Written& w, std::size_t letters_end, const naming::Series& s,
                    std::vector<Reading>& readings) {
  if (s.letters.size() > letters_end) return;
  const std::size_t prefix = letters_end - s.letters.size();
  if (w.chars.compare(prefix, s.letters.size(), s.letters) != 0) return;
  if (w.chars.compare(letters_end, s.figures.size(), s.figures) != 0) return;
  const std::size_t after = letters_end + s.figures.size();
  for (std::size_t k = letters_end + 1; k < std::min(after, w.chars.size()); ++k)
    if (w.slash(k)) return;
  for (const Bore& bore : bores_at(w, after, s)) {
    const Tail tail = read_tail(w, bore.end, s.type);
    if (torn_number(w, bore.end, tail)) continue;
    Reading r;
    Designation& d = r.designation;
    d.prefix = w.chars.substr(0, prefix);
    d.letters = s.letters;
    d.series = s.figures;
    d.bore_code = bore.code;
    d.type = s.type;
    d.detail = s.detail;
    d.dimension_series = s.dimension_series;
    d.bore_mm = bore.mm;
    d.usual_bore = bore.usual;
    for (std::size_t i = 0; i < tail.rows.size(); ++i) {
      const auto* row = tail.rows[i];
      d.suffixes.push_back(
          {tail.texts[i], row != nullptr ? row->group : "",
           row != nullptr ? row->meaning : "the maker's own: look it up at the maker"});
      if (row != nullptr) take(d, *row);
    }
    r.cost = unread_cost * static_cast<int>(prefix) + tail.cost;
    r.core_end = bore.end;
    readings.push_back(std::move(r));
  }
}

/// The reading that explains most; of equals the longer basic number.
std::optional<Reading> best_reading(const Written& w) {
  std::size_t letters_end = 0;
  while (letters_end < w.chars.size() && letter(w.chars[letters_end])) ++letters_end;
  std::vector<Reading> readings;
  for (const auto& s : naming::series()) read_series_at(w, letters_end, s, readings);
  const auto best =
      std::min_element(readings.begin(), readings.end(), [](const auto& a, const auto& b) {
        return a.cost != b.cost ? a.cost < b.cost : a.core_end > b.core_end;
      });
  if (best == readings.end()) return std::nullopt;
  return std::move(*best);
}

/// Every reading with the '?' from index `from` on replaced by what may stand there.
void read_each(const Written& w, std::size_t from, std::vector<Reading>& readings) {
  const auto at = w.chars.find('?', from);
  if (at == std::string::npos) {
    if (auto r = best_reading(w)) readings.push_back(std::move(*r));
    return;
  }
  read_each(w, at + 1, readings);  // left as it is: part of a suffix of the maker's own
  Written one = w;
  for (const char c : std::string_view{"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"}) {
    one.chars[at] = c;
    read_each(one, at + 1, readings);
  }
  one = w;  // a separator that cannot be read
  one.chars.erase(at, 1);
  one.apart.erase(one.apart.begin() + static_cast<std::ptrdiff_t>(at));
  if (at < one.apart.size() && at > 0) one.apart[at] = '/';
  read_each(one, at, readings);
}

bool in_size_table(const Designation& d) { return boundary_dimensions(d.basic()).has_value(); }

/// Rank of a reading among those that explain as much of the text.
std::size_t series_rank(const Designation& d) {
  const auto& all = naming::series();
  for (std::size_t i = 0; i < all.size(); ++i)
    if (all[i].letters == d.letters && all[i].figures == d.series) return i;
  return all.size();
}

int unread(const Reading& r) { return r.cost / unread_cost; }

std::vector<Designation> ranked(std::vector<Reading> readings) {
  int least = unread(readings.front());
  for (const auto& r : readings) least = std::min(least, unread(r));
  const bool usual = std::any_of(readings.begin(), readings.end(), [&](const Reading& r) {
    return unread(r) == least && r.designation.usual_bore;
  });
  struct Ranked {
    bool listed;
    std::size_t series;
    Designation d;
  };
  std::vector<Ranked> kept;
  std::vector<std::string> seen;
  for (auto& r : readings) {
    if (unread(r) != least || (usual && !r.designation.usual_bore)) continue;
    const std::string text = r.designation.text();
    if (std::find(seen.begin(), seen.end(), text) != seen.end()) continue;
    seen.push_back(text);
    kept.push_back({in_size_table(r.designation), series_rank(r.designation), r.designation});
  }
  std::stable_sort(kept.begin(), kept.end(), [](const Ranked& a, const Ranked& b) {
    if (a.listed != b.listed) return a.listed;
    if (a.series != b.series) return a.series < b.series;
    return a.d.bore_mm < b.d.bore_mm;
  });
  std::vector<Designation> found;
  found.reserve(kept.size());
  for (auto& k : kept) found.push_back(std::move(k.d));
  return found;
}

}  // namespace

std::string_view name(BearingType type) noexcept {
  constexpr std::string_view names[bearing_type_count] = {"deep groove ball",
                                                          "angular contact ball",
                                                          "double-row angular contact ball",
                                                          "four-point contact ball",
                                                          "self-aligning ball",
                                                          "cylindrical roller",
                                                          "spherical roller",
                                                          "tapered roller",
                                                          "needle roller",
                                                          "thrust ball",
                                                          "spherical roller thrust",
                                                          "insert ball"};
  return names[static_cast<std::size_t>(type)];
}

bool has_rollers(BearingType type) noexcept {
  return name(type).find("roller") != std::string_view::npos;
}

std::string_view name(ClearanceClass clearance) noexcept {
  constexpr std::string_view names[] = {"C1", "C2", "CN", "C3", "C4", "C5", "CM"};
  return names[static_cast<std::size_t>(clearance)];
}

std::string_view name(Closure closure) noexcept {
  constexpr std::string_view names[] = {"open", "shield", "low-friction seal", "rubbing seal"};
  return names[static_cast<std::size_t>(closure)];
}

std::string Designation::basic() const { return letters + series + bore_code; }

std::string Designation::text() const {
  std::string t = prefix.empty() ? basic() : prefix + " " + basic();
  bool first = true;
  for (const auto& s : suffixes) {
    const bool slash = s.group == "clearance" || s.group == "tolerance" || s.group == "heat" ||
                       s.group == "electric" || s.makers_own();
    const bool attached = first && s.group == "angle";
    if (!attached) t += slash ? '/' : '-';
    t += s.text;
    first = false;
  }
  return t;
}

std::vector<std::string> Designation::makers_own() const {
  std::vector<std::string> own;
  if (!prefix.empty()) own.push_back(prefix);
  for (const auto& s : suffixes)
    if (s.makers_own()) own.push_back(s.text);
  return own;
}

Result<std::vector<Designation>> read_designation(std::string_view text) {
  const auto refuse = [&](Errc code, std::string what, std::string advice) {
    return Error{code, fmt::format("designation '{}'", text.substr(0, longest)), std::move(what),
                 std::move(advice)};
  };
  if (text.size() > longest)
    return refuse(Errc::bad_argument, fmt::format("is longer than {} characters", longest),
                  "give the number on the ring, like 6205-2Z C3");
  const Written w = written(text);
  if (w.chars.empty())
    return refuse(Errc::bad_argument, "holds neither letters nor figures",
                  "give the number on the ring, like 6205-2Z C3");
  const auto wild = static_cast<std::size_t>(std::count(w.chars.begin(), w.chars.end(), '?'));
  if (wild > most_wild)
    return refuse(
        Errc::bad_argument,
        fmt::format("{} characters cannot be read; more than {} fit too much", wild, most_wild),
        "measure the bearing and give --bore, --outside and --width");
  std::vector<Reading> readings;
  read_each(w, 0, readings);
  if (readings.empty()) {
    Written likely = w;
    for (char& c : likely.chars) c = c == 'O' ? '0' : c == 'I' || c == 'L' ? '1' : c;
    if (const auto r = best_reading(likely); r && r->cost < unread_cost)
      return refuse(Errc::not_found, "no bearing series can be read in it",
                    fmt::format("did you mean {}?", r->designation.text()));
    return refuse(Errc::not_found, "no bearing series can be read in it",
                  "a basic number looks like 6205, NU205 or 22210; or measure the bearing and give "
                  "--bore, --outside and --width");
  }
  return ranked(std::move(readings));
}

}  // namespace bearingdsp
