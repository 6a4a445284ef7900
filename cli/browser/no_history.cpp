#include "bearingdsp/history/store.hpp"
#include "compare_options.hpp"
#include "terminal.hpp"

// A page keeps no history: what the commands ask of one is refused.
namespace bearingdsp {

Result<void> check_store_name(const std::string& path) {
  return Error{Errc::unsupported_format, path, "a page keeps no history",
               "use the command-line tool for it"};
}

}  // namespace bearingdsp

namespace cli {

Exit compare_history(const CompareCommand& o) {
  return fail(bearingdsp::check_store_name(o.store).error());
}

}  // namespace cli
