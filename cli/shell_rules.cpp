#include "shell_rules.hpp"

#include <vector>

#include "command_tree.hpp"

namespace cli {
namespace {

/// Inside single quotes of a shell.
std::string quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string{"'\\''"} : std::string{c};
  return out + "'";
}

std::string joined(const std::vector<std::string>& words) {
  std::string out;
  for (const auto& word : words) out += (out.empty() ? "" : " ") + word;
  return out;
}

std::string option_names(const CommandText& command) {
  std::vector<std::string> names;
  for (const auto& option : command.options)
    names.insert(names.end(), option.names.begin(), option.names.end());
  return joined(names);
}

/// Two case statements that bash and zsh share: which command the words before the cursor chose,
/// and what may follow it.
std::string cases(const std::vector<CommandText>& tree) {
  std::string out = "    case \"$at $word\" in\n";
  for (const auto& command : tree)
    if (!command.path.empty())
      out += "      " + quoted(" " + command.path) + ") at=\"$at $word\" ;;\n";
  out += "    esac\n  done\n  case \"$at\" in\n";
  for (const auto& command : tree)
    out += "    " + quoted(command.path.empty() ? "" : " " + command.path) +
           ") options=" + quoted(option_names(command)) +
           " commands=" + quoted(joined(command.subcommands)) + " ;;\n";
  return out + "  esac\n";
}

std::string bash(const std::vector<CommandText>& tree) {
  return "_bearingdsp() {\n"
         "  local current=\"${COMP_WORDS[COMP_CWORD]}\" at= word options commands\n"
         "  for word in \"${COMP_WORDS[@]:1:COMP_CWORD-1}\"; do\n" +
         cases(tree) +
         "  if [[ $current == -* ]]; then COMPREPLY=($(compgen -W \"$options\" -- \"$current\"))\n"
         "  elif [[ -n $commands ]]; then COMPREPLY=($(compgen -W \"$commands\" -- \"$current\"))\n"
         "  else COMPREPLY=(); fi\n"
         "}\n"
         "complete -o default -F _bearingdsp bearingdsp\n";
}

std::string zsh(const std::vector<CommandText>& tree) {
  return "#compdef bearingdsp\n"
         "_bearingdsp() {\n"
         "  local at= word options commands\n"
         "  for word in \"${(@)words[2,CURRENT-1]}\"; do\n" +
         cases(tree) +
         "  if [[ $words[CURRENT] == -* ]]; then compadd -- ${=options}\n"
         "  elif [[ -n $commands ]]; then compadd -- ${=commands}\n"
         "  else _files; fi\n"
         "}\n"
         "_bearingdsp \"$@\"\n";
}

std::string fish(const std::vector<CommandText>& tree) {
  std::string out;
  for (const auto& command : tree) {
    // Of "route run" the last word was seen after the first.
    std::string seen;
    std::string rest = command.path;
    while (!rest.empty()) {
      const auto blank = rest.find(' ');
      seen +=
          (seen.empty() ? "" : "; and ") + ("__fish_seen_subcommand_from " + rest.substr(0, blank));
      rest = blank == std::string::npos ? "" : rest.substr(blank + 1);
    }
    const std::string when = seen.empty() ? "__fish_use_subcommand" : seen;
    const std::string base = "complete -c bearingdsp -n " + quoted(when);
    for (const auto& sub : command.subcommands) out += base + " -f -a " + sub + "\n";
    for (const auto& option : command.options) {
      if (option.names.empty()) continue;
      out += base;
      for (const auto& name : option.names)
        out += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
      if (!option.value.empty()) out += " -r";
      out += " -d " + quoted(first_line(option.meaning)) + "\n";
    }
  }
  return out;
}

}  // namespace

std::string shell_rules(const CLI::App& app, std::string_view shell) {
  const auto tree = command_tree(app);
  if (shell == "bash") return bash(tree);
  return shell == "zsh" ? zsh(tree) : fish(tree);
}

}  // namespace cli
