#include "architecture/words.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <filesystem>
#include <utility>

namespace words {
namespace {

constexpr std::string_view heading = "\n## Words to avoid\n";
/// Ends a phrase: no phrase goes over it.
constexpr std::string_view stop = "|";

struct Word {
  std::string text;
  std::size_t line{0};
};

bool letter(char c) {
  return std::isalpha(static_cast<unsigned char>(c)) != 0 || (static_cast<unsigned char>(c) > 127);
}
bool digit(char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; }
char lower(char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); }
bool starts(std::string_view text, std::string_view with) {
  return text.substr(0, with.size()) == with;
}

/// Words of prose with the line where they begin. Numbers and fmt's {} are "n"; commas are passed
/// over; other punctuation ends a phrase. A word with an underscore or a digit is one unknown word.
class Prose {
 public:
  explicit Prose(std::vector<Word>& out) : out_{out} {}

  void read(std::string_view text, std::size_t line) {
    std::size_t i = 0;
    while (i < text.size()) {
      const char c = text[i];
      if (c == '\n') ++line;
      if (letter(c) || digit(c) || c == '_') {
        i = word(text, i, line);
      } else if (c == '{') {
        i = placeholder(text, i, line);
      } else if (c == '\\') {
        end(line);
        if (i + 1 < text.size() && text[i + 1] == '\n') ++line;
        i += 2;
      } else {
        if (c == '%') out_.push_back({"%", line});
        if (std::string_view{" \t\n\r,%*/#"}.find(c) == std::string_view::npos) end(line);
        ++i;
      }
    }
  }
  void end(std::size_t line) { out_.push_back({std::string{stop}, line}); }

 private:
  std::size_t word(std::string_view text, std::size_t i, std::size_t line) {
    const std::size_t begin = i;
    bool plain = true;
    bool number = true;
    while (i < text.size() &&
           (letter(text[i]) || digit(text[i]) || text[i] == '_' || inside(text, i, number))) {
      if (digit(text[i]) || text[i] == '_') plain = false;
      if (letter(text[i]) || text[i] == '_') number = false;
      ++i;
    }
    std::string word{text.substr(begin, i - begin)};
    std::transform(word.begin(), word.end(), word.begin(), lower);
    if (number) word = "n";
    if (!plain && !number) word = "?";
    out_.push_back({std::move(word), line});
    return i;
  }
  /// An apostrophe belongs to the word before it, a point to the number around it.
  static bool inside(std::string_view text, std::size_t i, bool number) {
    if (text[i] == '\'') return i > 0 && letter(text[i - 1]);
    return text[i] == '.' && number && i + 1 < text.size() && digit(text[i + 1]);
  }
  std::size_t placeholder(std::string_view text, std::size_t i, std::size_t line) {
    const std::size_t close = text.find('}', i);
    if (close == std::string_view::npos || close - i > 12) {
      end(line);
      return i + 1;
    }
    out_.push_back({"n", line});
    return close + 1;
  }

  std::vector<Word>& out_;
};

/// Parts of identifiers: harmonicsStanding and harmonics_standing are both two words.
void read_name(std::string_view name, std::size_t line, std::vector<Word>& out) {
  std::string part;
  const auto flush = [&] {
    if (!part.empty()) out.push_back({std::exchange(part, {}), line});
  };
  for (std::size_t i = 0; i < name.size(); ++i) {
    const bool capital = std::isupper(static_cast<unsigned char>(name[i])) != 0;
    const bool hump = capital && i > 0 && std::islower(static_cast<unsigned char>(name[i - 1]));
    if (name[i] == '_' || hump) flush();
    if (name[i] != '_') part += lower(name[i]);
  }
  flush();
  out.push_back({std::string{stop}, line});
}

struct Split {
  std::vector<Word> text;
  std::vector<Word> names;
};

/// End of the quoted text that begins at `i`, behind its closing quote.
std::size_t quoted_end(std::string_view text, std::size_t i) {
  const char quote = text[i++];
  while (i < text.size() && text[i] != quote) i += text[i] == '\\' ? 2U : 1U;
  return std::min(i + 1, text.size());
}

Split split_cpp(std::string_view text) {
  Split out;
  Prose prose{out.text};
  std::size_t line = 1;
  bool open = false;  // a string may go on in the next literal
  std::size_t i = 0;
  const auto take = [&](std::size_t end) {
    const std::string_view piece = text.substr(i, end - i);
    i = end;
    line += static_cast<std::size_t>(std::count(piece.begin(), piece.end(), '\n'));
    return piece;
  };
  const auto close = [&] {
    if (std::exchange(open, false)) prose.end(line);
  };
  while (i < text.size()) {
    const std::size_t at = line;
    const char c = text[i];
    if (starts(text.substr(i), "//")) {
      close();
      prose.read(take(std::min(text.find('\n', i), text.size())), at);
    } else if (starts(text.substr(i), "R\"")) {
      const std::size_t open_at = std::min(text.find('(', i), text.size());
      const std::string last = ")" + std::string{text.substr(i + 2, open_at - i - 2)} + "\"";
      const std::size_t end = text.find(last, open_at);
      prose.read(take(end == std::string_view::npos ? text.size() : end + last.size()), at);
      prose.end(at);
    } else if (c == '"') {
      const std::string_view piece = take(quoted_end(text, i));
      prose.read(piece.substr(1, piece.size() < 2 ? 0 : piece.size() - 2), at);
      open = true;
    } else if (c == '\'' && (i == 0 || !digit(text[i - 1]))) {
      take(quoted_end(text, i));
    } else if (std::isalpha(static_cast<unsigned char>(c)) != 0 || c == '_') {
      close();
      std::size_t end = i;
      while (end < text.size() &&
             (std::isalnum(static_cast<unsigned char>(text[end])) != 0 || text[end] == '_'))
        ++end;
      read_name(take(end), at, out.names);
    } else {
      if (std::isspace(static_cast<unsigned char>(c)) == 0) close();
      take(i + 1);
    }
  }
  return out;
}

/// Markdown without fenced blocks and words in back-quotes, which are blanked; a heading, a row or
/// an item ends a phrase.
std::string prose_only(std::string_view markdown) {
  std::string out;
  bool fenced = false;
  bool code = false;
  for (std::size_t i = 0; i < markdown.size(); ++i) {
    const bool line_begins = i == 0 || markdown[i - 1] == '\n';
    if (line_begins && starts(markdown.substr(i), "```")) {
      fenced = !fenced;
      code = false;
      while (i < markdown.size() && markdown[i] != '\n') ++i;
      out += ";\n";
      continue;
    }
    const char c = markdown[i];
    if (!fenced && c == '`') {
      code = !code;
      out += ';';
    } else if (c == '\n') {
      const bool blank = i + 1 < markdown.size() && markdown[i + 1] == '\n';
      if (blank) code = false;
      out += blank ? ";\n" : "\n";
    } else {
      out += fenced || code ? ' ' : c;
    }
  }
  return out;
}

bool has_extension(std::string_view path, std::initializer_list<std::string_view> any) {
  return std::any_of(any.begin(), any.end(), [&](std::string_view e) {
    return path.size() >= e.size() && path.substr(path.size() - e.size()) == e;
  });
}

Split split(const structure::Source& source) {
  if (has_extension(source.path, {".cpp", ".hpp", ".h", ".c"})) return split_cpp(source.text);
  Split out;
  Prose prose{out.text};
  prose.read(has_extension(source.path, {".md"}) ? prose_only(source.text) : source.text, 1);
  return out;
}

bool matches(const std::vector<Word>& words, std::size_t at, const Rule& rule) {
  if (at + rule.avoid.size() > words.size()) return false;
  for (std::size_t i = 0; i < rule.avoid.size(); ++i)
    if (words[at + i].text != rule.avoid[i]) return false;
  if (!rule.prefix) return true;
  const bool first = at == 0 || words[at - 1].text == stop;
  return first && at + rule.avoid.size() < words.size() &&
         words[at + rule.avoid.size()].text != stop;
}

void find(const structure::Source& source, const std::vector<Word>& words,
          const std::multimap<std::string, const Rule*>& by_first, structure::Breaches& found) {
  for (std::size_t i = 0; i < words.size(); ++i) {
    const auto [begin, end] = by_first.equal_range(words[i].text);
    for (auto r = begin; r != end; ++r)
      if (matches(words, i, *r->second))
        found.push_back(source.path + ":" + std::to_string(words[i].line) + ": '" +
                        r->second->shown + "': write " + r->second->instead);
  }
}

std::string trimmed(std::string_view text) {
  const auto from = text.find_first_not_of(" \t");
  if (from == std::string_view::npos) return {};
  return std::string{text.substr(from, text.find_last_not_of(" \t") - from + 1)};
}

/// Cells of a table row; empty where the line is none.
std::vector<std::string> cells_of(std::string_view line) {
  std::vector<std::string> cells;
  if (line.empty() || line[0] != '|') return cells;
  std::size_t from = 1;
  for (std::size_t to = line.find('|', from); to != std::string_view::npos;
       from = to + 1, to = line.find('|', from))
    cells.push_back(trimmed(line.substr(from, to - from)));
  return cells;
}

}  // namespace

std::vector<Rule> rules_of(std::string_view glossary) {
  std::vector<Rule> rules;
  const std::size_t at = glossary.find(heading);
  if (at == std::string_view::npos) return rules;
  std::string_view rest = glossary.substr(at + heading.size());
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find('\n'), rest.size());
    const auto cells = cells_of(rest.substr(0, end));
    rest.remove_prefix(std::min(end + 1, rest.size()));
    if (cells.size() != 3 || cells[0].size() < 3 || cells[0].front() != '`') continue;
    Rule rule;
    rule.shown = cells[0].substr(1, cells[0].size() - 2);
    rule.instead = cells[1];
    rule.in_text = cells[2].find("text") != std::string::npos;
    rule.in_names = cells[2].find("names") != std::string::npos;
    rule.prefix = rule.shown.back() == '_';
    std::vector<Word> words;
    if (rule.in_text)
      Prose{words}.read(rule.shown, 1);
    else
      read_name(rule.shown, 1, words);
    for (const Word& word : words)
      if (word.text != stop) rule.avoid.push_back(word.text);
    rules.push_back(std::move(rule));
  }
  return rules;
}

std::string without_rules(std::string_view glossary) {
  return std::string{glossary.substr(0, std::min(glossary.find(heading), glossary.size()))};
}

std::vector<structure::Source> read_texts(const std::string& top,
                                          const std::vector<std::string>& where,
                                          const std::vector<std::string>& skip) {
  namespace fs = std::filesystem;
  std::vector<structure::Source> sources;
  const auto add = [&](const std::string& path) {
    const bool text =
        has_extension(path, {".cpp", ".hpp", ".c", ".h", ".md", ".ipynb", ".py", ".pyi", ".js",
                             ".mjs", ".sh", ".csv", ".toml", ".txt", ".cmake", ".css"});
    const bool skipped = std::any_of(skip.begin(), skip.end(),
                                     [&](const std::string& s) { return starts(path, s); });
    if (text && !skipped) sources.push_back({path, structure::read_text(top, path)});
  };
  for (const std::string& path : where) {
    if (!fs::is_directory(top + "/" + path)) {
      add(path);
      continue;
    }
    for (const auto& entry : fs::recursive_directory_iterator{top + "/" + path})
      if (entry.is_regular_file()) add(entry.path().lexically_relative(top).generic_string());
  }
  std::sort(sources.begin(), sources.end(),
            [](const structure::Source& a, const structure::Source& b) { return a.path < b.path; });
  return sources;
}

structure::Breaches refused(const std::vector<structure::Source>& sources,
                            const std::vector<Rule>& rules) {
  std::multimap<std::string, const Rule*> in_text;
  std::multimap<std::string, const Rule*> in_names;
  for (const Rule& rule : rules) {
    if (rule.in_text && !rule.avoid.empty()) in_text.emplace(rule.avoid[0], &rule);
    if (rule.in_names && !rule.avoid.empty()) in_names.emplace(rule.avoid[0], &rule);
  }
  structure::Breaches found;
  for (const structure::Source& source : sources) {
    const Split words = split(source);
    find(source, words.text, in_text, found);
    find(source, words.names, in_names, found);
  }
  return found;
}

std::map<std::string, structure::Breaches> by_prefix(const structure::Breaches& breaches,
                                                     const std::vector<std::string>& later) {
  std::map<std::string, structure::Breaches> sorted;
  for (const std::string& prefix : later) sorted[prefix] = {};
  for (const std::string& breach : breaches) {
    std::string longest;
    for (const std::string& prefix : later)
      if (starts(breach, prefix) && prefix.size() > longest.size()) longest = prefix;
    sorted[longest].push_back(breach);
  }
  return sorted;
}

}  // namespace words
