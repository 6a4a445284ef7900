#pragma once
#include <CLI/CLI.hpp>
#include <string>

namespace cli {

/// The manual page in the man macros of roff (groff_man(7)).
[[nodiscard]] std::string manual_page(const CLI::App& app);

}  // namespace cli
