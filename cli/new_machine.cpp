#include "new_machine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "asking.hpp"
#include "bearingdsp/bearing/candidates.hpp"
#include "bearingdsp/machine/toml_text.hpp"
#include "checks.hpp"
#include "machine_option.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

std::string wrong_bearing(const std::string& designation) {
  const auto found = bearing_candidates(designation);
  return found ? "" : found.error().message();
}

std::optional<double> number_of(const std::string& text) {
  double value = 0;
  const auto [stop, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  return code == std::errc{} ? std::optional{value} : std::nullopt;
}

/// "NDE vertical" as a table: end, and direction where a word names one.
std::string point_table(const std::string& name) {
  TomlLines t{"[[machine.point]]"};
  t.add("name", name);
  std::string end;
  std::string direction;
  for (std::size_t at = 0; at < name.size();) {
    const std::size_t stop = std::min(name.find_first_of(" -_", at), name.size());
    const std::string word = CLI::detail::to_lower(name.substr(at, stop - at));
    if (end.empty() && (word == "de" || word == "nde")) end = word == "de" ? "DE" : "NDE";
    for (const char* known : {"horizontal", "vertical", "axial", "radial"})
      if (word == known) direction = known;
    at = stop + 1;
  }
  t.add("end", end);
  t.add("direction", direction);
  return t.text();
}

}  // namespace

bool ask_machine(NewMachine& o) {
  const auto words = [](std::string& to, const std::string& question, const Check& check = {}) {
    if (!to.empty()) return true;
    const auto answer = ask(question, "", check);
    if (answer) to = *answer;
    return answer.has_value();
  };
  const auto number = [](std::optional<double>& to, const std::string& question) {
    if (to) return true;
    const auto answer = ask(question, "", wrong_number);
    if (answer) to = number_of(*answer);
    return answer.has_value();
  };
  if (o.points.empty()) {
    const auto point = ask("Measuring point: end (DE or NDE) and direction", "DE horizontal",
                           [](const std::string& text) {
                             const auto end = text.substr(0, text.find(' '));
                             const auto known = parse_end(end);
                             return known ? std::string{} : known.error().message();
                           });
    if (!point) return false;
    o.points = {*point};
  }
  return words(o.bearing, "Bearing at the drive end (empty: not known)", wrong_bearing) &&
         words(o.other_bearing, "Bearing at the non-drive end (empty: not known)", wrong_bearing) &&
         number(o.rpm, "Rated speed in rpm, from the nameplate (empty: not known)") &&
         number(o.power, "Rated power in kW (empty: not known)");
}

std::string machine_table(const NewMachine& o) {
  TomlLines t{"[[machine]]"};
  t.add("name", o.name);
  t.add("description", o.description);
  t.add("drives", o.drives);
  t.add("power_kw", o.power);
  t.add("rated_rpm", o.rpm);
  t.add("line_frequency_hz", o.mains);
  if (o.poles) t.add("poles", static_cast<double>(*o.poles));
  t.add("frame", o.frame);
  t.add("mounting", o.mounting);
  t.add("drive", o.drive);
  for (const auto& [end, bearing] :
       {std::pair{"DE", &o.bearing}, std::pair{"NDE", &o.other_bearing}})
    if (!bearing->empty())
      t.add_raw(fmt::format("bearing.{}", end),
                fmt::format("{{ designation = {} }}", toml_string(*bearing)));
  std::string text = t.text();
  for (const std::string& point : o.points) text += "\n" + point_table(point);
  return text;
}

void add_new_machine_options(CLI::App& c, NewMachine& o) {
  c.add_option("name", o.name, "name of the machine, as in the names of its recordings")
      ->type_name("NAME");
  c.add_option("-b,--bearing", o.bearing, "bearing at the drive end")->type_name("NAME");
  c.add_option("--bearing-nde", o.other_bearing, "bearing at the non-drive end")->type_name("NAME");
  c.add_option("-n,--rpm", o.rpm, "rated speed")->type_name("RPM")->check(between(1.0, 1e6));
  c.add_option("--power", o.power, "rated power")->type_name("KW")->check(between(1e-3, 1e6));
  c.add_option("--line-frequency", o.mains, "mains frequency, if not that of the plant")
      ->type_name("HZ")
      ->check(between(10.0, 500.0));
  c.add_option("--poles", o.poles, "number of poles")->type_name("N")->check(whole_between(2, 100));
  c.add_option("--frame", o.frame, "\"IEC 132M\", \"NEMA 213T\"")->type_name("TEXT");
  c.add_option("--mounting", o.mounting, "rigid or flexible")->type_name("WORD");
  c.add_option("--drive", o.drive, "\"direct on line\" or VFD")->type_name("WORD");
  c.add_option("--description", o.description, "free text")->type_name("TEXT");
  c.add_option("--drives", o.drives, "what it drives: \"fan, V-belt\"")->type_name("TEXT");
  c.add_option("--point", o.points,
               "measuring point: end and direction (\"NDE vertical\"); can be repeated (DE "
               "horizontal)")
      ->type_name("NAME")
      ->allow_extra_args(false);
  add_printing_options(c, o.printing);
}

}  // namespace cli
