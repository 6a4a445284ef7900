#include "shell_rules.hpp"

#include <vector>

#include "bearingdsp/core/sentence.hpp"
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
  return fmt::format("{}", fmt::join(words, " "));
}

std::string option_names(const CommandText& command) {
  std::vector<std::string> names;
  for (const auto& option : command.options)
    names.insert(names.end(), option.names.begin(), option.names.end());
  return joined(names);
}

std::string lines(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, "\n"));
}

/// Of "$at $before": the words that the option before the cursor takes.
std::string value_cases(const CommandText& command) {
  const std::string at = command.path.empty() ? "" : " " + command.path;
  std::string out;
  for (const auto& option : command.options) {
    if (option.words.empty() || option.names.empty()) continue;
    std::string which;
    for (const auto& name : option.names) bearingdsp::add_part(which, quoted(at + " " + name), "|");
    out += "    " + which + ") values=" + quoted(lines(option.words)) + " ;;\n";
  }
  return out;
}

/// Three case statements that bash and zsh share: which command the words before the cursor chose,
/// what may follow it, and which values the option before the cursor takes.
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
  out += "  esac\n  case \"$at $before\" in\n";
  for (const auto& command : tree) out += value_cases(command);
  return out + "  esac\n";
}

std::string bash(const std::vector<CommandText>& tree) {
  return "_bearingdsp() {\n"
         "  local current=\"${COMP_WORDS[COMP_CWORD]}\" before=\"${COMP_WORDS[COMP_CWORD-1]}\"\n"
         "  local at= word options commands values= typed\n"
         "  for word in \"${COMP_WORDS[@]:1:COMP_CWORD-1}\"; do\n" +
         cases(tree) +
         // As the command would get it: without quotes and backslashes.
         "  typed=\"${current//[\\\\\\\"\\']/}\"\n"
         "  COMPREPLY=()\n"
         "  if [[ $before == --machine && $typed == *'#'* ]]; then\n"
         "    values=\"$(\"${COMP_WORDS[0]}\" machine check \"${typed%%#*}\" --quiet 2>/dev/null "
         "|\n"
         "      while IFS= read -r word; do echo \"${typed%%#*}#$word\"; done)\"\n"
         "  fi\n"
         "  if [[ -n $values ]]; then\n"
         "    while IFS= read -r word; do\n"
         "      [[ $word == \"$typed\"* ]] && COMPREPLY+=(\"$(printf %q \"$word\")\")\n"
         "    done <<< \"$values\"\n"
         "  elif [[ $current == -* ]]; then\n"
         "    COMPREPLY=($(compgen -W \"$options\" -- \"$current\"))\n"
         "  elif [[ -n $commands ]]; then\n"
         "    COMPREPLY=($(compgen -W \"$commands\" -- \"$current\"))\n"
         "  fi\n"
         "}\n"
         "complete -o default -F _bearingdsp bearingdsp\n";
}

std::string zsh(const std::vector<CommandText>& tree) {
  return "#compdef bearingdsp\n"
         "_bearingdsp() {\n"
         "  local at= word options commands values= before=\"$words[CURRENT-1]\" file\n"
         "  for word in \"${(@)words[2,CURRENT-1]}\"; do\n" +
         cases(tree) +
         "  if [[ $before == --machine && $words[CURRENT] == *'#'* ]]; then\n"
         "    file=\"${(Q)${words[CURRENT]%%\\#*}}\"\n"
         "    for word in \"${(@f)$($words[1] machine check $file --quiet 2>/dev/null)}\"; do\n"
         "      compadd -- \"$file#$word\"\n"
         "    done\n"
         "  elif [[ -n $values ]]; then compadd -- \"${(@f)values}\"\n"
         "  elif [[ $words[CURRENT] == -* ]]; then compadd -- ${=options}\n"
         "  elif [[ -n $commands ]]; then compadd -- ${=commands}\n"
         "  else _files; fi\n"
         "}\n"
         "_bearingdsp \"$@\"\n";
}

/// Machines of the file before the '#' that is being typed.
constexpr const char* fish_machines =
    "function __bearingdsp_machines\n"
    "  set -l typed (commandline -ct)\n"
    "  string match -q '*#*' -- $typed; or return\n"
    "  set -l file (string split -m 1 '#' -- $typed)[1]\n"
    "  for name in (bearingdsp machine check $file --quiet 2>/dev/null)\n"
    "    echo \"$file#$name\"\n"
    "  end\n"
    "end\n";

/// -a and what an option can be followed by; empty for any value.
std::string fish_values(const OptionText& option) {
  if (option.value == "FILE[#NAME]") return " -a '(__bearingdsp_machines)'";
  std::string words;
  for (const auto& word : option.words) words += (words.empty() ? "\"" : " \"") + word + "\"";
  return words.empty() ? "" : " -f -a " + cli::quoted(words);
}

std::string fish(const std::vector<CommandText>& tree) {
  std::string out = fish_machines;
  for (const auto& command : tree) {
    // Of "route run" the last word was seen after the first.
    std::string seen;
    std::string rest = command.path;
    while (!rest.empty()) {
      const auto blank = rest.find(' ');
      bearingdsp::add_part(seen, "__fish_seen_subcommand_from " + rest.substr(0, blank), "; and ");
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
      if (!option.value.empty()) out += " -r" + fish_values(option);
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
