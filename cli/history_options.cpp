#include "history_options.hpp"

#include <algorithm>

namespace cli {
using namespace bearingdsp;

namespace {

std::string folded(const std::string& name) {
  std::string out;
  for (const char c : name)
    if (c != ' ' && c != '-' && c != '_')
      out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

std::string listed(const std::vector<std::string>& names) {
  constexpr std::size_t most = 12;
  std::string text;
  for (std::size_t i = 0; i < std::min(most, names.size()); ++i)
    text += (text.empty() ? "" : "; ") + names[i];
  return names.size() > most ? text + " ..." : text;
}

}  // namespace

void add_store_option(CLI::App& command, std::string& store) {
  command.add_option("--store", store, "the history (history.db)")->type_name("FILE");
}

Result<std::vector<PointKey>> choose_points(History& history, const std::string& machine,
                                            const std::string& point) {
  const auto all = history.points();
  if (!all) return all.error();
  std::vector<PointKey> chosen;
  std::vector<std::string> machines;
  std::vector<std::string> points;
  for (const PointKey& key : *all) {
    if (machines.empty() || machines.back() != key.machine) machines.push_back(key.machine);
    if (folded(key.machine) != folded(machine)) continue;
    points.push_back(key.point);
    if (point.empty() || folded(key.point) == folded(point)) chosen.push_back(key);
  }
  if (points.empty())
    return Error{Errc::not_found, machine, "is no machine of this history",
                 machines.empty() ? "it is empty" : "it holds: " + listed(machines)};
  if (chosen.empty())
    return Error{Errc::not_found, point, "is no point of " + machine, "it has: " + listed(points)};
  return chosen;
}

std::vector<std::string> read_by(const Route& route, const std::string& store) {
  std::vector<std::string> files{store};
  for (const Machine& machine : route.machines)
    files.push_back(machine.where.substr(0, machine.where.rfind(':')));
  return files;
}

}  // namespace cli
