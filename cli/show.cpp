#include "show.hpp"

namespace cli {
using namespace bearingdsp;

TextOptions text_options(When colour) {
  const Style style = stdout_style(colour);
  TextOptions text;
  text.width = style.width;
  text.colour = style.colour;
  text.unicode = style.unicode;
  return text;
}

void show(const Report& report, When colour) { print(to_text(report, text_options(colour))); }

Exit exit_of(Urgency urgency) noexcept {
  if (urgency >= Urgency::check) return Exit::fault;
  return urgency == Urgency::measure_again ? Exit::cannot_tell : Exit::no_fault;
}

Exit fail(const Error& error) {
  print_error(error);
  return Exit::failed;
}

}  // namespace cli
