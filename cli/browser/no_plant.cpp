#include "machine_add.hpp"

// A page keeps no plant folder: nothing is added to one.
namespace cli {

void add_machine_add(CLI::App& /*machine*/, Run& /*run*/) {}

}  // namespace cli
