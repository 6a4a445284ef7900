#include "command_tree.hpp"

#include "option_values.hpp"

namespace cli {
namespace {

OptionText option_text(const CLI::Option& option) {
  OptionText out;
  for (const auto& name : option.get_snames()) out.names.push_back("-" + name);
  for (const auto& name : option.get_lnames()) out.names.push_back("--" + name);
  const bool takes_value = option.get_items_expected_max() > 0;
  if (out.names.empty())
    out.value = option.get_type_name().empty() ? option.get_single_name() : option.get_type_name();
  else if (takes_value)
    out.value = option.get_type_name().empty() ? "VALUE" : option.get_type_name();
  // Checks write themselves behind the name: "RPM:FLOAT in [0.01 - 1e6]".
  out.value = out.value.substr(0, out.value.find(':'));
  out.meaning = option.get_description();
  out.words = values_of(option);
  return out;
}

void add(const CLI::App& app, const std::string& path, std::vector<CommandText>& out) {
  CommandText text{path, app.get_description(), {}, {}};
  for (const bool positional : {true, false})
    for (const CLI::Option* option : app.get_options())
      if (option->nonpositional() != positional) text.options.push_back(option_text(*option));
  const auto children = app.get_subcommands([](const CLI::App*) { return true; });
  for (const CLI::App* child : children) text.subcommands.push_back(child->get_name());
  out.push_back(std::move(text));
  for (const CLI::App* child : children)
    add(*child, path.empty() ? child->get_name() : path + " " + child->get_name(), out);
}

}  // namespace

std::vector<CommandText> command_tree(const CLI::App& app) {
  std::vector<CommandText> out;
  add(app, "", out);
  // "help" is followed by a command.
  for (CommandText& command : out)
    if (command.path == "help") command.subcommands = out.front().subcommands;
  return out;
}

std::string first_line(const std::string& text) { return text.substr(0, text.find('\n')); }

}  // namespace cli
