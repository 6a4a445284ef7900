// Words that a person types for an answer, a sign of damage, a cause, a grease, a unit, a time or an
// entry are understood, or refused in one line with what was probably meant; answers that are
// understood rank the faults.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/capture/file_unit.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/replacement/cause.hpp"
#include "bearingdsp/replacement/grease_mixing.hpp"
#include "bearingdsp/triage/triage.hpp"
#include "input.hpp"
#include "invariants.hpp"

namespace {

using namespace bearingdsp;

void near_words(const std::vector<std::string>& lines) {
  std::vector<DescribedTerm> terms;
  for (const std::string& line : lines) terms.push_back({line, line});
  for (const std::string& line : lines) {
    const auto near = near_misses(line, lines);
    fuzz::require(near.size() <= 3);
    for (const std::string& word : near)
      fuzz::require(std::find(lines.begin(), lines.end(), word) != lines.end());
    const auto alike = alike_by_words(line, terms);
    fuzz::require(alike.size() <= 3);
    (void)did_you_mean(line, lines, terms, "nothing");
    const std::string& other = lines.front();
    if (line.size() > 300 || other.size() > 300) continue;
    const std::size_t distance = edit_distance(line, other);
    fuzz::require(distance <= std::max(line.size(), other.size()));
    fuzz::require(distance == edit_distance(other, line));
    fuzz::require((distance == 0) == (line == other));
  }
}

void answers(const std::vector<std::string>& lines) {
  TriageInquiry inquiry;
  for (const std::string& line : lines)
    for (const TriageQuestion& question : triage_questions()) {
      auto answer = triage_answer(question.name, line);
      if (!answer) fuzz::require_error_line(answer.error());
      if (answer) inquiry.answers.push_back(std::move(*answer));
    }
  const auto ranked = triage(inquiry);
  if (!ranked) return fuzz::require_error_line(ranked.error());
  double sum = 0;
  for (const TriageFault& fault : ranked->faults) {
    fuzz::require(fault.probability >= 0 && fault.probability <= 1);
    sum += fault.probability;
  }
  fuzz::require(std::abs(sum - 1) < 1e-9);
}

void causes(const std::vector<std::string>& lines) {
  const std::array<std::string, 0> none{};
  for (const auto& found : {find_causes(lines, none), find_causes(none, lines)})
    if (!found) fuzz::require_error_line(found.error());
  for (const std::string& line : lines) {
    const std::array one{line};
    const auto found = find_causes(one, none);
    if (!found) fuzz::require_error_line(found.error());
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  const auto lines = fuzz::lines_of(text);
  near_words(lines);
  answers(lines);
  causes(lines);
  const auto signs = signs_of_diagnosis(text, "diagnosis.json");
  if (!signs) fuzz::require_error_line(signs.error());
  for (const std::string& line : lines) {
    if (const auto word = thickener(line); !word) fuzz::require_error_line(word.error());
    (void)thickener_in(line);
    if (const auto unit = parse_file_unit(line); !unit) fuzz::require_error_line(unit.error());
    if (const auto entry = parse_entry(line); !entry) fuzz::require_error_line(entry.error());
    const auto time = parse_time(line, "--date");
    if (!time) fuzz::require_error_line(time.error());
    // A time that was understood is written so that it is understood again.
    if (time) fuzz::require(parse_time(format_time(*time), "again").value() == *time);
  }
  return 0;
}
