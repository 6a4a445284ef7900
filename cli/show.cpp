#include "show.hpp"

#include "checks.hpp"

namespace cli {
using namespace bearingdsp;

void add_printing_options(CLI::App& command, Printing& printing, Details details,
                          const std::string& group) {
  auto* quiet = command.add_flag("-q,--quiet", printing.quiet, "print one line");
  if (!group.empty()) quiet->group(group);
  if (details == Details::some) {
    auto* verbose = command.add_flag("-v,--verbose", printing.verbose, "print every detail");
    if (!group.empty()) verbose->group(group);
  }
  command.add_option("--colour", printing.colour, "always, never or auto")
      ->type_name("WHEN")
      ->transform(one_word_of({{"always", static_cast<int>(When::always)},
                               {"never", static_cast<int>(When::never)},
                               {"auto", static_cast<int>(When::automatic)}}));
}

TextOptions text_options(const Printing& printing) {
  const Style style = stdout_style(printing.colour);
  TextOptions text;
  text.width = style.width;
  text.colour = style.colour;
  text.unicode = style.unicode;
  text.brief = printing.quiet;
  text.details = printing.verbose;
  return text;
}

void show(const Report& report, const Printing& printing) {
  print(to_text(report, text_options(printing)));
}

Exit exit_of(Urgency urgency) noexcept {
  if (urgency >= Urgency::check) return Exit::fault;
  return urgency == Urgency::measure_again ? Exit::cannot_tell : Exit::no_fault;
}

Exit fail(const Error& error) {
  print_error(error);
  return Exit::failed;
}

}  // namespace cli
