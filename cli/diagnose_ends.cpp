#include "diagnose_ends.hpp"

#include "bearingdsp/report/ends.hpp"
#include "bearingdsp/report/text.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

void print_ends(const std::vector<Diagnosis>& done, bool as_json, const Printing& printing) {
  const Diagnosis* de = nullptr;
  const Diagnosis* nde = nullptr;
  for (const Diagnosis& d : done) {
    const Diagnosis*& at = d.machine->end == MachineEnd::drive_end ? de : nde;
    if (at == nullptr || at->probability_of_damage < d.probability_of_damage) at = &d;
  }
  if (de == nullptr || nde == nullptr) return;
  const EndsCompared ends = compare_ends(*de, *nde);
  if (as_json) {
    JsonOptions json;
    json.pretty = false;
    print(ends_json(ends, de->machine->machine, json) + "\n");
    return;
  }
  if (!printing.quiet) print("\n");
  show(ends_report(ends, de->machine->machine), printing);
}

}  // namespace cli
