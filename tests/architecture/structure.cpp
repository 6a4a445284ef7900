#include "architecture/structure.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <regex>
#include <stdexcept>
#include <utility>

namespace structure {
namespace {

/// From the lowest layer; a module may use those before it.
constexpr std::array<std::string_view, 18> rooms = {
    "core",       "dsp",         "bearing",   "capture", "machine",  "condition",
    "speed",      "spectra",     "evidence",  "verdict", "triage",   "history",
    "comparison", "replacement", "balancing", "dataset", "simulate", "report"};

/// Floor of a room, or nothing for a folder that is none.
std::optional<std::size_t> floor_of(std::string_view room) {
  const auto* at = std::find(rooms.begin(), rooms.end(), room);
  if (at == rooms.end()) return std::nullopt;
  return static_cast<std::size_t>(at - rooms.begin());
}

bool starts(std::string_view text, std::string_view with) {
  return text.substr(0, with.size()) == with;
}

/// "dsp" for libbearingdsp/src/dsp/fft.cpp and libbearingdsp/include/bearingdsp/dsp/fft.hpp; empty
/// elsewhere.
std::string room_of(std::string_view path) {
  for (const std::string_view base : {"libbearingdsp/include/bearingdsp/", "libbearingdsp/src/"}) {
    if (!starts(path, base)) continue;
    const std::string_view rest = path.substr(base.size());
    return std::string{
        rest.substr(0, rest.find('/') == std::string_view::npos ? 0 : rest.find('/'))};
  }
  return {};
}

/// The text with comments blanked and lines kept, so that words in comments are not taken for code.
std::string code_only(std::string_view text) {
  std::string code;
  code.reserve(text.size());
  enum class In : unsigned char { plain, line_comment, comment, string };
  In in = In::plain;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const char next = i + 1 < text.size() ? text[i + 1] : '\0';
    if (in == In::plain && c == '/' && next == '/') in = In::line_comment;
    if (in == In::plain && c == '/' && next == '*') in = In::comment;
    if (in == In::line_comment && c == '\n') in = In::plain;
    const bool comment = in == In::line_comment || in == In::comment;
    code += comment && c != '\n' ? ' ' : c;
    if (in == In::comment && c == '*' && next == '/') {
      code += ' ';
      ++i;
      in = In::plain;
    } else if (in == In::string && c == '\\' && next != '\0') {
      code += next;
      ++i;
    } else if (c == '"' && (in == In::plain || in == In::string)) {
      const bool quoted_character = i > 0 && text[i - 1] == '\'' && next == '\'';
      if (!quoted_character) in = in == In::plain ? In::string : In::plain;
    }
  }
  return code;
}

struct Line {
  std::size_t number{0};
  std::string text;
};

std::vector<Line> lines_of(std::string_view text) {
  std::vector<Line> lines;
  std::size_t begin = 0;
  while (begin < text.size()) {
    std::size_t end = text.find('\n', begin);
    if (end == std::string_view::npos) end = text.size();
    lines.push_back({lines.size() + 1, std::string{text.substr(begin, end - begin)}});
    begin = end + 1;
  }
  return lines;
}

std::string breach(const Source& source, std::size_t line, const std::string& what) {
  return source.path + ":" + std::to_string(line) + ": " + what;
}

struct Include {
  std::size_t line{0};
  bool quoted{false};
  std::string name;
};

std::vector<Include> includes_of(const Source& source) {
  static const std::regex pattern{R"(^\s*#\s*include\s*([<"])([^>"]+)[>"])"};
  std::vector<Include> found;
  for (const Line& line : lines_of(code_only(source.text))) {
    std::smatch match;
    if (std::regex_search(line.text, match, pattern))
      found.push_back({line.number, match[1].str() == "\"", match[2].str()});
  }
  return found;
}

bool is_word_character(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
}

bool has_word(std::string_view text, std::string_view word) {
  for (std::size_t at = text.find(word); at != std::string_view::npos;
       at = text.find(word, at + 1)) {
    const bool begins = at == 0 || !is_word_character(text[at - 1]);
    const std::size_t end = at + word.size();
    if (begins && (end == text.size() || !is_word_character(text[end]))) return true;
  }
  return false;
}

bool contains(const std::vector<std::string>& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

}  // namespace

std::string read_text(const std::string& top, const std::string& path) {
  std::ifstream file{top + "/" + path, std::ios::binary};
  if (!file) throw std::runtime_error{"cannot read " + path};
  return {std::istreambuf_iterator<char>{file}, std::istreambuf_iterator<char>{}};
}

std::vector<Source> read_tree(const std::string& top, const std::vector<std::string>& folders) {
  std::vector<Source> sources;
  for (const std::string& folder : folders) {
    for (const auto& entry : std::filesystem::recursive_directory_iterator{top + "/" + folder}) {
      const std::string extension = entry.path().extension().string();
      if (!entry.is_regular_file() || (extension != ".cpp" && extension != ".hpp")) continue;
      const std::string path = entry.path().lexically_relative(top).generic_string();
      sources.push_back({path, read_text(top, path)});
    }
  }
  std::sort(sources.begin(), sources.end(),
            [](const Source& a, const Source& b) { return a.path < b.path; });
  return sources;
}

Breaches floors(const std::vector<Source>& library) {
  Breaches found;
  for (const Source& source : library) {
    const std::string room = room_of(source.path);
    const auto floor = floor_of(room);
    if (!floor) {
      found.push_back(breach(source, 1, "belongs to no module"));
      continue;
    }
    for (const Include& include : includes_of(source)) {
      std::string_view name = include.name;
      if (!include.quoted) continue;
      if (starts(name, "bearingdsp/")) name.remove_prefix(std::string_view{"bearingdsp/"}.size());
      const std::size_t slash = name.find('/');
      if (slash == std::string_view::npos) continue;  // beside the file itself
      const std::string other{name.substr(0, slash)};
      const auto other_floor = floor_of(other);
      if (!other_floor)
        found.push_back(breach(source, include.line, "includes from no room: " + include.name));
      else if (*other_floor > *floor)
        found.push_back(breach(source, include.line, room + " is below " + other));
    }
  }
  return found;
}

Breaches public_includes(const std::vector<Source>& library) {
  static const std::regex standard{"[a-z_]+"};
  Breaches found;
  for (const Source& source : library) {
    if (!starts(source.path, "libbearingdsp/include/")) continue;
    for (const Include& include : includes_of(source)) {
      const bool fine = include.quoted ? starts(include.name, "bearingdsp/")
                                       : std::regex_match(include.name, standard);
      if (!fine)
        found.push_back(breach(source, include.line, "public header includes " + include.name));
    }
  }
  return found;
}

Breaches wrapped_libraries(const std::vector<Source>& library) {
  static const std::vector<std::pair<std::string_view, std::vector<std::string>>> homes = {
      {"fftw3.h", {"libbearingdsp/src/dsp/fft.cpp"}},
      {"sndfile.h", {"libbearingdsp/src/capture/", "libbearingdsp/src/simulate/"}},
      {"sndfile.hh", {}},
      {"matio.h", {}},
      {"hdf5.h", {}},
      {"sqlite3.h", {"libbearingdsp/src/history/sqlite.hpp"}},
      {"zlib.h", {"libbearingdsp/src/capture/", "libbearingdsp/src/report/png.cpp"}},
      {"toml++/toml.h", {"libbearingdsp/src/machine/"}},
  };
  Breaches found;
  for (const Source& source : library) {
    for (const Include& include : includes_of(source)) {
      for (const auto& [header, places] : homes) {
        if (include.name != header) continue;
        const bool home = std::any_of(places.begin(), places.end(), [&](const std::string& place) {
          return starts(source.path, place);
        });
        if (!home)
          found.push_back(breach(source, include.line, include.name + " belongs elsewhere"));
      }
    }
  }
  return found;
}

Breaches packaged_includes(const std::vector<Source>& sources, std::string_view prepare) {
  struct Origin {
    std::string_view header;   ///< how the name begins
    std::string_view package;  ///< empty: the compiler and C library, or our own
  };
  static constexpr std::array<Origin, 25> origins = {{{"bearingdsp/", ""},
                                                      {"sys/", ""},
                                                      {"fcntl.h", ""},
                                                      {"poll.h", ""},
                                                      {"signal.h", ""},
                                                      {"spawn.h", ""},
                                                      {"dlfcn.h", ""},
                                                      {"malloc.h", ""},
                                                      {"unistd.h", ""},
                                                      {"CLI/", "libcli11-dev"},
                                                      {"alsa/", "libasound2-dev"},
                                                      {"doctest/", "doctest-dev"},
                                                      {"Eigen/", "libeigen3-dev"},
                                                      {"fast_float/", "libfast-float-dev"},
                                                      {"fftw3.h", "libfftw3-dev"},
                                                      {"fmt/", "libfmt-dev"},
                                                      {"hdf5.h", "libhdf5-dev"},
                                                      {"matio.h", "libmatio-dev"},
                                                      {"nlohmann/", "nlohmann-json3-dev"},
                                                      {"portaudio.h", "portaudio19-dev"},
                                                      {"pybind11/", "pybind11-dev"},
                                                      {"sndfile.h", "libsndfile1-dev"},
                                                      {"sqlite3.h", "libsqlite3-dev"},
                                                      {"toml++/", "libtomlplusplus-dev"},
                                                      {"zlib.h", "zlib1g-dev"}}};
  Breaches found;
  for (const Source& source : sources) {
    for (const Include& include : includes_of(source)) {
      if (include.quoted || include.name.find_first_of("./") == std::string::npos) continue;
      const auto* origin = std::find_if(origins.begin(), origins.end(), [&](const Origin& o) {
        return starts(include.name, o.header);
      });
      if (origin == origins.end())
        found.push_back(breach(source, include.line, include.name + " is of no known package"));
      else if (prepare.find(origin->package) == std::string_view::npos)
        found.push_back(breach(source, include.line,
                               std::string{origin->package} + " is not in tests/prepare.sh"));
    }
  }
  return found;
}

Breaches quiet_library(const std::vector<Source>& library) {
  static const std::vector<std::string> outward = {"capture", "machine", "history", "dataset"};
  struct Ban {
    std::string_view word;
    std::string_view why;
    bool outward_may;
  };
  static constexpr std::string_view terminal = "knows the terminal";
  static constexpr std::string_view locale = "lets the locale touch a number";
  static constexpr std::string_view world = "reads the world outside";
  static constexpr std::array<Ban, 30> bans = {{
      {"cout", terminal, false},
      {"cerr", terminal, false},
      {"clog", terminal, false},
      {"printf", terminal, false},
      {"fprintf", terminal, false},
      {"puts", terminal, false},
      {"stdout", terminal, false},
      {"stderr", terminal, false},
      {"isatty", terminal, false},
      {"snprintf", locale, false},
      {"stod", locale, false},
      {"stof", locale, false},
      {"strtod", locale, false},
      {"strtof", locale, false},
      {"atof", locale, false},
      {"sscanf", locale, false},
      {"stringstream", locale, false},
      {"istringstream", locale, false},
      {"ostringstream", locale, false},
      {"setlocale", locale, false},
      {"system_clock", world, true},
      {"steady_clock", world, true},
      {"high_resolution_clock", world, true},
      {"localtime", world, true},
      {"gmtime", world, true},
      {"random_device", world, false},
      {"getenv", world, true},
      {"ifstream", world, true},
      {"fopen", world, true},
      {"filesystem", world, true},
  }};
  Breaches found;
  for (const Source& source : library) {
    const bool outward_room = contains(outward, room_of(source.path));
    for (const Line& line : lines_of(code_only(source.text))) {
      for (const Ban& ban : bans) {
        if (outward_room && ban.outward_may) continue;
        if (has_word(line.text, ban.word))
          found.push_back(
              breach(source, line.number, std::string{ban.word} + ": " + std::string{ban.why}));
      }
    }
  }
  return found;
}

Breaches one_way_to_write(const std::vector<Source>& sources) {
  static constexpr std::array<std::string_view, 9> writing = {
      "ofstream",    "fopen(",       "copy_file(",
      "fs::rename(", "std::rename(", "filesystem::rename(",
      " ::rename(",  "renameat2(",   "O_CREAT"};
  Breaches found;
  for (const Source& source : sources) {
    if (source.path == "libbearingdsp/src/capture/whole_file.cpp") continue;
    const bool cli = source.path.starts_with("cli/");
    const bool outputs = source.path.starts_with("cli/output_file.");
    for (const Line& line : lines_of(code_only(source.text))) {
      for (const std::string_view word : writing) {
        // Reading through the C library is no writing.
        const bool reads = word == "fopen(" && line.text.find("\"rb\"") != std::string_view::npos;
        if (line.text.find(word) != std::string_view::npos && !reads)
          found.push_back(breach(source, line.number, std::string{word} + " is not WholeFile"));
      }
      for (const std::string_view word : {"WholeFile", "write_wav", "write_csv"})
        if (cli && !outputs && has_word(line.text, word))
          found.push_back(breach(source, line.number, std::string{word} + " is not OutputFiles"));
    }
  }
  return found;
}

Breaches tokens_in_files(const std::vector<Source>& sources) {
  static const std::regex read_back{
      R"((dataset/\w+|simulate/truth|report/(\w*_)?json\w*|report/history_csv|history/(store\w*|lists|reading_columns))\.[ch]pp$)"};
  static const std::regex words{R"((^|[^\w:.])words\((?![\d)]))"};
  static const std::regex compared{
      R"([=!]= *words\(|[^\w:.]words\([^()]*(\([^()]*\))?[^()]*\) *[=!]=)"};
  Breaches found;
  for (const Source& source : sources) {
    const bool file = std::regex_search(source.path, read_back);
    for (const Line& line : lines_of(code_only(source.text))) {
      if (file && std::regex_search(line.text, words))
        found.push_back(breach(source, line.number, "words() are for people: token()"));
      else if (std::regex_search(line.text, compared))
        found.push_back(breach(source, line.number, "compares words(): compare enumerators"));
    }
  }
  return found;
}

Breaches thin_cli(const std::vector<Source>& cli) {
  Breaches found;
  for (const Source& source : cli) {
    for (const Include& include : includes_of(source)) {
      for (const std::string_view header : {"cmath", "math.h", "complex", "numbers", "numeric"}) {
        if (include.name == header)
          found.push_back(breach(source, include.line, "mathematics in cli: " + include.name));
      }
    }
    const std::string code = code_only(source.text);
    for (const Line& line : lines_of(code)) {
      for (const std::string_view word : {"stod", "strtod", "atof", "setlocale", "stringstream"}) {
        if (has_word(line.text, word))
          found.push_back(
              breach(source, line.number, std::string{word} + " depends on the locale"));
      }
    }
    const std::size_t lines = lines_of(source.text).size();
    const bool main = source.path == "cli/main.cpp";
    const bool command = has_word(code, "add_subcommand");
    if (main && lines >= 80) found.push_back(breach(source, lines, "main reaches 80 lines"));
    if (command && lines >= 150)
      found.push_back(breach(source, lines, "a command reaches 150 lines"));
  }
  return found;
}

Breaches mirrored_tests(const std::vector<Source>& library, const std::vector<Source>& tests) {
  static const std::regex pattern{R"(tests/unit/([a-z_0-9]+/[a-z_0-9]+)_test\.cpp)"};
  Breaches found;
  for (const Source& test : tests) {
    std::smatch match;
    const bool named = std::regex_match(test.path, match, pattern);
    const std::string stem = named ? match[1].str() : std::string{};
    const bool mirrors =
        named && std::any_of(library.begin(), library.end(), [&](const Source& source) {
          return source.path == "libbearingdsp/include/bearingdsp/" + stem + ".hpp" ||
                 source.path == "libbearingdsp/src/" + stem + ".hpp" ||
                 source.path == "libbearingdsp/src/" + stem + ".cpp";
        });
    if (!mirrors) found.push_back(breach(test, 1, "is named after nothing in the library"));
  }
  return found;
}

Breaches tested_headers(const std::vector<Source>& library, const std::vector<Source>& tests,
                        const std::vector<std::pair<std::string, std::string>>& elsewhere) {
  const auto is_there = [&](const std::string& path) {
    return std::any_of(tests.begin(), tests.end(), [&](const Source& t) { return t.path == path; });
  };
  constexpr std::string_view folder = "libbearingdsp/include/bearingdsp/";
  Breaches found;
  for (const Source& header : library) {
    if (header.path.rfind(folder, 0) != 0) continue;
    const std::string name = header.path.substr(folder.size());
    const bool own = is_there("tests/unit/" + name.substr(0, name.rfind('.')) + "_test.cpp");
    const auto at = std::find_if(elsewhere.begin(), elsewhere.end(),
                                 [&](const auto& row) { return row.first == name; });
    if (at == elsewhere.end() && !own)
      found.push_back(breach(header, 1, "no test is named after it"));
    if (at != elsewhere.end() && own)
      found.push_back(breach(header, 1, "has its own test and is named with another"));
    if (at != elsewhere.end() && !is_there(at->second))
      found.push_back(breach(header, 1, at->second + " is not there"));
  }
  return found;
}

Breaches no_global_state(const std::vector<Source>& library) {
  static const std::regex stored{R"(^\s*(inline\s+)?(static|thread_local)\s+([^(=;{]*)[=;{])"};
  static const std::regex fixed{R"((^|\s)(const|constexpr|constinit const)\s|std::mutex)"};
  Breaches found;
  for (const Source& source : library)
    for (const Line& line : lines_of(code_only(source.text))) {
      std::smatch match;
      const std::string text{line.text};
      if (std::regex_search(text, match, stored) && !std::regex_search(match[3].str(), fixed))
        found.push_back(
            breach(source, line.number, "state that outlives a call: " + match[3].str()));
    }
  return found;
}

Breaches no_dataset_rules(const std::vector<Source>& sources) {
  static const std::regex set{
      "(cwru|mfpt|hit-mfs|limerick|pronostia|femto|paderborn|phm ?20[0-9]{2})", std::regex::icase};
  Breaches found;
  for (const Source& source : sources)
    for (const Line& line : lines_of(source.text)) {
      const std::string text{line.text};
      if (std::regex_search(text, set))
        found.push_back(breach(source, line.number, "names a dataset"));
    }
  return found;
}

Breaches honest_tests(const std::vector<Source>& sources) {
  // Pieced together so that this file does not breach its own rule.
  static const std::string approximate = std::string{"doctest::"} + "Approx";
  static const std::string switched_off = std::string{"NO"} + "LINT";
  static const std::regex with_reason{switched_off + R"((NEXTLINE|BEGIN|END)?\([a-z0-9.,\- ]+\))"};
  static const std::regex split_name{R"(TEST_CASE(_TEMPLATE)?\(\s*"[^"]*;)"};
  Breaches found;
  for (const Source& source : sources) {
    const std::string& text = source.text;
    for (std::sregex_iterator at{text.begin(), text.end(), split_name};
         at != std::sregex_iterator{}; ++at) {
      const auto line = 1 + std::count(text.begin(), text.begin() + at->position(), '\n');
      found.push_back(
          breach(source, static_cast<std::size_t>(line), "CMake splits the test's name at ';'"));
    }
    for (const Line& line : lines_of(text)) {
      if (line.text.find(approximate) != std::string::npos)
        found.push_back(breach(source, line.number, "absolute near zero; use support/close.hpp"));
      if (line.text.find(switched_off) != std::string::npos &&
          !std::regex_search(line.text, with_reason))
        found.push_back(breach(source, line.number, "switches off every check; name one"));
    }
  }
  return found;
}

Breaches cautions_from_the_list(const std::vector<Source>& sources) {
  static const std::regex says{R"("[^"]*\block(ed)?( it)? out\b)", std::regex::icase};
  static const std::regex row_says{R"(\block(ed)?( it)? out\b)", std::regex::icase};
  constexpr std::size_t nearby = 4;
  Breaches found;
  for (const Source& source : sources) {
    const bool table = source.path.ends_with(".csv");
    if (source.path.ends_with("data/cautions.csv")) continue;
    const auto lines = lines_of(source.text);
    for (std::size_t i = 0; i < lines.size(); ++i) {
      if (lines[i].text.starts_with("#") ||
          !std::regex_search(lines[i].text, table ? row_says : says))
        continue;
      bool step = table && std::regex_search(lines[i].text, std::regex{R"([,;]isolate[,;])"});
      for (std::size_t k = i; !table && k < lines.size() && k <= i + nearby; ++k)
        step = step || lines[k].text.find("StepKind::isolate") != std::string::npos;
      if (!step)
        found.push_back(breach(source, lines[i].number, "a caution beside data/cautions.csv"));
    }
  }
  return found;
}

std::vector<std::string> enumerators(std::string_view header, std::string_view name) {
  const std::string code = code_only(header);
  const std::regex pattern{"enum\\s+class\\s+" + std::string{name} + R"(\b[^{;]*\{([^}]*)\})"};
  std::smatch match;
  if (!std::regex_search(code, match, pattern)) return {};
  const std::string body = match[1].str();
  static const std::regex enumerator{R"(([A-Za-z_]\w*)\s*(=[^,]*)?(,|$))"};
  std::vector<std::string> names;
  for (std::sregex_iterator at{body.begin(), body.end(), enumerator}; at != std::sregex_iterator{};
       ++at)
    names.push_back((*at)[1].str());
  return names;
}

std::vector<std::string> table_keys(std::string_view markdown) {
  static const std::regex row{R"(^\|\s*`([^`]+)`\s*\|)"};
  std::vector<std::string> keys;
  for (const Line& line : lines_of(markdown)) {
    std::smatch match;
    if (std::regex_search(line.text, match, row)) keys.push_back(match[1].str());
  }
  return keys;
}

Breaches rows(const std::vector<std::string>& names, const std::vector<std::string>& keys,
              std::string_view document) {
  Breaches found;
  const std::string where{document};
  for (const std::string& name : names)
    if (!contains(keys, name)) found.push_back(where + ": no row for " + name);
  for (const std::string& key : keys)
    if (!contains(names, key)) found.push_back(where + ": row for " + key + ", which is not there");
  return found;
}

Breaches unregistered_sources(const std::vector<Source>& sources,
                              const std::vector<std::string>& registered) {
  static const std::regex key{R"(\[(src:)?([a-z]+[0-9]{3,}(-[0-9]+)?[a-z]?)[\] ,;:])"};
  Breaches found;
  for (const Source& source : sources) {
    for (const Line& line : lines_of(source.text)) {
      for (std::sregex_iterator at{line.text.begin(), line.text.end(), key};
           at != std::sregex_iterator{}; ++at) {
        const std::string name = (*at)[2].str();
        if (!contains(registered, name))
          found.push_back(breach(source, line.number, "[" + name + "] is not in docs/sources.md"));
      }
    }
  }
  return found;
}

std::vector<std::string> from_memory(std::string_view markdown) {
  static const std::regex row{R"(^\| `([a-z0-9-]+)` .*\| memory[^|]*\|\s*$)"};
  std::vector<std::string> keys;
  for (const Line& line : lines_of(markdown)) {
    std::smatch match;
    const std::string text{line.text};
    if (std::regex_search(text, match, row)) keys.push_back(match[1].str());
  }
  return keys;
}

Breaches memory_unsaid(const std::vector<Source>& tests, const std::vector<std::string>& keys) {
  static const std::regex joint{R"("\s*")"};  // a long name is several literals
  static const std::regex citation{R"(TEST_CASE(_TEMPLATE)?\(\s*"[^"]*(\[src:[^\]"]*\]))"};
  Breaches found;
  for (const Source& test : tests) {
    const std::string text = std::regex_replace(test.text, joint, "");
    for (std::sregex_iterator at{text.begin(), text.end(), citation}; at != std::sregex_iterator{};
         ++at) {
      const std::string cited = (*at)[2].str();
      const bool is_memory = std::any_of(
          keys.begin(), keys.end(), [&](const std::string& key) { return has_word(cited, key); });
      if (is_memory && cited.find("memory") == std::string::npos)
        found.push_back(breach(test, 1, cited + " is from memory, and does not say so"));
    }
  }
  return found;
}

Breaches dead_documents(const std::vector<Source>& sources,
                        const std::function<bool(const std::string&)>& is_there) {
  static const std::regex document{R"(docs/[a-z0-9_/-]+\.md)"};
  Breaches found;
  for (const Source& source : sources) {
    for (const Line& line : lines_of(source.text)) {
      for (std::sregex_iterator at{line.text.begin(), line.text.end(), document};
           at != std::sregex_iterator{}; ++at) {
        if (!is_there(at->str()))
          found.push_back(breach(source, line.number, at->str() + " is not there"));
      }
    }
  }
  return found;
}

}  // namespace structure
