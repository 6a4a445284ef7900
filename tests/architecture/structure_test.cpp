#include "architecture/structure.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

// Every rule is held twice: the repository keeps it, and a made breach of it is seen. A rule that
// cannot be broken in the second half would prove nothing in the first.

namespace {

const std::string top{REPOSITORY};

const std::vector<structure::Source>& library() {
  static const std::vector<structure::Source> sources =
      structure::read_tree(top, {"libbearingdsp/include", "libbearingdsp/src"});
  return sources;
}

void expect_none(const structure::Breaches& breaches) {
  for (const std::string& breach : breaches) FAIL_CHECK(breach);
}

structure::Source header(const std::string& room, const std::string& text) {
  return {"libbearingdsp/include/bearingdsp/" + room + "/made.hpp", text};
}
structure::Source source(const std::string& room, const std::string& text) {
  return {"libbearingdsp/src/" + room + "/made.cpp", text};
}

}  // namespace

TEST_CASE("structure: a room uses only the floors beneath it") {
  REQUIRE(library().size() > 10);
  expect_none(structure::floors(library()));

  using structure::floors;
  CHECK(floors({header("verdict", "#include \"bearingdsp/dsp/fft.hpp\"\n")}).empty());
  CHECK(
      floors({header("dsp", "#include \"bearingdsp/verdict/diagnosis.hpp\"\n")}) ==
      structure::Breaches{"libbearingdsp/include/bearingdsp/dsp/made.hpp:1: dsp is below verdict"});
  CHECK(floors({source("speed", "\n\n#include \"spectra/private.hpp\"\n")}) ==
        structure::Breaches{"libbearingdsp/src/speed/made.cpp:3: speed is below spectra"});
  CHECK(floors({source("cellar", "")}).size() == 1);
  CHECK(floors({source("dsp", "#include \"cellar/x.hpp\"\n")}).size() == 1);
  CHECK(floors({{"libbearingdsp/src/loose.cpp", ""}}).size() == 1);
  CHECK(floors({source("dsp", "// #include \"bearingdsp/verdict/diagnosis.hpp\"\n")}).empty());
}

TEST_CASE("structure: public headers include only std and bearingdsp") {
  expect_none(structure::public_includes(library()));

  using structure::public_includes;
  CHECK(public_includes({header("dsp", "#include <span>\n#include <vector>\n")}).empty());
  CHECK(public_includes({header("dsp", "#include <fftw3.h>\n")}).size() == 1);
  CHECK(public_includes({header("dsp", "#include <fmt/format.h>\n")}).size() == 1);
  CHECK(public_includes({header("dsp", "#include \"dsp/private.hpp\"\n")}).size() == 1);
  CHECK(public_includes({source("dsp", "#include <fftw3.h>\n")}).empty());
}

TEST_CASE("structure: outside libraries stay behind their wrappers") {
  expect_none(structure::wrapped_libraries(library()));

  using structure::wrapped_libraries;
  CHECK(wrapped_libraries({source("capture", "#include <zlib.h>\n")}).empty());
  CHECK(wrapped_libraries({source("capture", "#include <matio.h>\n")}).size() == 1);
  CHECK(wrapped_libraries({source("spectra", "#include <fftw3.h>\n")}).size() == 1);
  CHECK(wrapped_libraries({{"libbearingdsp/src/dsp/fft.cpp", "#include <fftw3.h>\n"}}).empty());
}

TEST_CASE("structure: a bare machine gets the package of every header") {
  expect_none(
      structure::packaged_includes(structure::read_tree(top, {"libbearingdsp", "cli", "tests"}),
                                   structure::read_text(top, "tests/prepare.sh")));

  using structure::packaged_includes;
  CHECK(packaged_includes({source("dsp", "#include <vector>\n")}, "").empty());
  CHECK(packaged_includes({source("dsp", "#include <fmt/core.h>\n")}, "a libfmt-dev b").empty());
  CHECK(packaged_includes({source("dsp", "#include <fmt/core.h>\n")}, "a b").size() == 1);
  CHECK(packaged_includes({source("dsp", "#include <made/up.hpp>\n")}, "a b").size() == 1);
}

TEST_CASE("structure: the library is quiet, blind and without a locale") {
  expect_none(structure::quiet_library(library()));

  using structure::quiet_library;
  CHECK(quiet_library({source("dsp", "std::cout << 1;\n")}).size() == 1);
  CHECK(quiet_library({source("capture", "std::fprintf(f, \"x\");\n")}).size() == 1);
  CHECK(quiet_library({source("capture", "std::ifstream f{path};\n")}).empty());
  CHECK(quiet_library({source("verdict", "std::ifstream f{path};\n")}).size() == 1);
  CHECK(quiet_library({source("speed", "auto t = std::chrono::system_clock::now();\n")}).size() ==
        1);
  CHECK(quiet_library({source("capture", "double v = std::strtod(p, &e);\n")}).size() == 1);
  CHECK(quiet_library({source("core", "// not std::cout\nint stdout_like;\n")}).empty());
}

TEST_CASE("structure: the command line computes nothing and stays short") {
  expect_none(structure::thin_cli(structure::read_tree(top, {"cli"})));

  using structure::thin_cli;
  std::string long_text;
  for (int i = 0; i < 79; ++i) long_text += "\n";
  CHECK(thin_cli({{"cli/main.cpp", long_text}}).empty());
  CHECK(thin_cli({{"cli/main.cpp", long_text + "\n"}}).size() == 1);
  CHECK(
      thin_cli({{"cli/made.cpp", "app.add_subcommand(\"x\");\n" + long_text + long_text}}).size() ==
      1);
  CHECK(thin_cli({{"cli/helper.cpp", long_text + long_text}}).empty());
  CHECK(thin_cli({{"cli/made.cpp", "#include <cmath>\n"}}).size() == 1);
  CHECK(thin_cli({{"cli/made.cpp", "double x = std::stod(s);\n"}}).size() == 1);
}

TEST_CASE("structure: files are written in one way, and by a command in one place") {
  expect_none(structure::one_way_to_write(structure::read_tree(top, {"libbearingdsp", "cli"})));

  using structure::one_way_to_write;
  CHECK(one_way_to_write({source("history", "std::ofstream out{path};\n")}).size() == 1);
  CHECK(one_way_to_write({source("history", "fs::rename(a, b, code);\n")}).size() == 1);
  CHECK(one_way_to_write({source("history", "std::ifstream in{path};\n")}).empty());
  CHECK(one_way_to_write({source("dsp", "fopen(p, \"wb\");\n")}).size() == 1);
  CHECK(one_way_to_write({source("simulate", "WholeFile::start(path);\n")}).empty());
  CHECK(one_way_to_write({{"cli/made.cpp", "auto f = WholeFile::start(path);\n"}}).size() == 1);
  CHECK(one_way_to_write({{"cli/output_file.cpp", "WholeFile::start(path);\n"}}).empty());
}

TEST_CASE("structure: what is read back holds tokens, and no words are compared") {
  expect_none(structure::tokens_in_files(structure::read_tree(top, {"libbearingdsp", "cli"})));

  using structure::tokens_in_files;
  CHECK(tokens_in_files({source("dataset", "row += words(place);\n")}).size() == 1);
  CHECK(
      tokens_in_files({{"libbearingdsp/src/report/made_json.cpp", "j = words(*zone);\n"}}).size() ==
      1);
  CHECK(tokens_in_files({{"libbearingdsp/src/report/made_report.cpp", "s = words(*zone);\n"}})
            .empty());
  CHECK(tokens_in_files({source("dataset", "std::vector<std::string> words(1);\n")}).empty());
  CHECK(tokens_in_files({source("verdict", "if (words(place) == text) return;\n")}).size() == 1);
  CHECK(tokens_in_files({source("verdict", "if (text != words(place)) return;\n")}).size() == 1);
  CHECK(tokens_in_files({source("verdict", "if (token(place) == text) return;\n")}).empty());
}

TEST_CASE("structure: one name finds header, source and test") {
  expect_none(structure::mirrored_tests(library(), structure::read_tree(top, {"tests/unit"})));

  using structure::mirrored_tests;
  const std::vector<structure::Source> made{header("dsp", "")};
  CHECK(mirrored_tests(made, {{"tests/unit/dsp/made_test.cpp", ""}}).empty());
  CHECK(mirrored_tests(made, {{"tests/unit/speed/made_test.cpp", ""}}).size() == 1);
  CHECK(mirrored_tests(made, {{"tests/unit/dsp/other_test.cpp", ""}}).size() == 1);
  CHECK(mirrored_tests(made, {{"tests/unit/made_test.cpp", ""}}).size() == 1);
}

TEST_CASE("structure: every public header has its test") {
  // Types without functions of their own, or what one test exercises together with its neighbour.
  const std::vector<std::pair<std::string, std::string>> elsewhere{
      {"bearing/defect_orders.hpp", "tests/property/defect_orders_test.cpp"},
      {"bearing/facts.hpp", "tests/property/designation_test.cpp"},
      {"capture/contents.hpp", "tests/unit/capture/mat_test.cpp"},
      {"capture/file_unit.hpp", "tests/unit/capture/text_test.cpp"},
      {"capture/write.hpp", "tests/unit/capture/audio_test.cpp"},
      {"core/basis.hpp", "tests/unit/evidence/bearing_evidence_test.cpp"},
      {"core/model.hpp", "tests/unit/core/model_table_test.cpp"},
      {"core/band.hpp", "tests/unit/spectra/envelope_spectrum_test.cpp"},
      {"core/quantity.hpp", "tests/unit/core/unit_test.cpp"},
      {"core/trail.hpp", "tests/unit/condition/prepare_test.cpp"},
      {"bearing/candidate.hpp", "tests/unit/verdict/mixture_test.cpp"},
      {"dsp/noise_floor.hpp", "tests/unit/dsp/cepstrum_test.cpp"},
      {"evidence/family.hpp", "tests/unit/evidence/bearing_evidence_test.cpp"},
      {"evidence/family_search.hpp", "tests/unit/evidence/bearing_evidence_test.cpp"},
      {"report/acceptance.hpp", "tests/unit/report/before_after_test.cpp"},
      {"report/ends.hpp", "tests/unit/verdict/ends_test.cpp"},
      {"simulate/save.hpp", "tests/unit/history/route_run_test.cpp"},
      {"speed/shaft_speed.hpp", "tests/unit/speed/estimate_test.cpp"},
      {"verdict/place.hpp", "tests/unit/verdict/diagnosis_test.cpp"},
      {"report/recording_levels.hpp", "tests/unit/capture/scan_test.cpp"},
  };
  auto tests = structure::read_tree(top, {"tests/unit", "tests/property", "tests/pipeline"});
  tests.push_back(
      {"tests/python/test_verdict.py", structure::read_text(top, "tests/python/test_verdict.py")});
  expect_none(structure::tested_headers(library(), tests, elsewhere));

  using structure::tested_headers;
  const std::vector<structure::Source> made{header("dsp", "")};
  const structure::Source own{"tests/unit/dsp/made_test.cpp", ""};
  const structure::Source other{"tests/unit/dsp/other_test.cpp", ""};
  CHECK(tested_headers(made, {own}, {}).empty());
  CHECK(tested_headers(made, {other}, {}).size() == 1);
  CHECK(tested_headers(made, {other}, {{"dsp/made.hpp", other.path}}).empty());
  CHECK(tested_headers(made, {own, other}, {{"dsp/made.hpp", other.path}}).size() == 1);
  CHECK(tested_headers(made, {}, {{"dsp/made.hpp", other.path}}).size() == 1);
}

TEST_CASE("structure: nothing outlives a call, and no rule hangs on a dataset") {
  expect_none(structure::no_global_state(library()));
  using structure::no_global_state;
  CHECK(no_global_state({source("dsp", "  static int calls = 0;\n")}).size() == 1);
  CHECK(no_global_state({source("dsp", "thread_local std::vector<double> room;\n")}).size() == 1);
  CHECK(no_global_state({source("dsp", "static std::map<int, int> kept{};\n")}).size() == 1);
  CHECK(no_global_state({source("dsp", "  static const std::regex word{\"x\"};\n")}).empty());
  CHECK(no_global_state({source("dsp", "  static std::mutex m;\n")}).empty());
  CHECK(no_global_state({source("dsp", "  static int sum(int a = 0);\n")}).empty());

  auto sources = library();
  for (auto& more : structure::read_tree(top, {"cli"})) sources.push_back(std::move(more));
  expect_none(structure::no_dataset_rules(sources));
  CHECK(structure::no_dataset_rules({source("verdict", "if (name == \"Limerick\") x = 1;\n")})
            .size() == 1);
}

TEST_CASE("structure: tests compare honestly and lint is switched off by name") {
  expect_none(
      structure::honest_tests(structure::read_tree(top, {"libbearingdsp", "cli", "tests"})));

  using structure::honest_tests;
  const std::string off = std::string{"// NO"} + "LINT";
  CHECK(honest_tests({{"tests/a.cpp", std::string{"x == doctest::"} + "Approx(1)"}}).size() == 1);
  CHECK(honest_tests({{"cli/a.cpp", off + ": because"}}).size() == 1);
  CHECK(
      honest_tests({{"tests/a.cpp", std::string{"TEST_"} + "CASE(\n    \"one; two\") {"}}).size() ==
      1);
  CHECK(honest_tests({{"tests/a.cpp", "  CHECK(\"one; two\" == x);"}}).empty());
  CHECK(honest_tests({{"cli/a.cpp", off + "NEXTLINE(bugprone-branch-clone): because"}}).empty());
}

TEST_CASE("structure: to isolate and lock out is said by data/cautions.csv alone") {
  auto sources = structure::read_tree(top, {"libbearingdsp/src", "cli"});
  for (const char* table : {"workshop_steps", "triage_questions", "triage_faults", "triage_answers",
                            "triage_rules", "causes", "damage_modes", "shelf_life"}) {
    const std::string path = std::string{"libbearingdsp/data/"} + table + ".csv";
    sources.push_back({path, structure::read_text(top, path)});
  }
  expect_none(structure::cautions_from_the_list(sources));
  // The page of the tool is plain text: it repeats the row as it is.
  std::string page = structure::read_text(top, "cli/browser/page.html");
  std::replace(page.begin(), page.end(), '\n', ' ');
  CHECK(page.find("Before work on the machine: stop it, isolate and lock it out, by your local "
                  "rules.") != std::string::npos);

  using structure::cautions_from_the_list;
  CHECK(cautions_from_the_list({{"cli/a.cpp", "x = \"Stop, isolate, lock out, look.\";"}}).size() ==
        1);
  CHECK(cautions_from_the_list({{"cli/a.cpp", "x = \"turn it, locked out\";"}}).size() == 1);
  CHECK(cautions_from_the_list(
            {{"cli/a.cpp", "step(\"Isolate, lock out.\",\n     {StepKind::isolate})"}})
            .empty());
  CHECK(cautions_from_the_list({{"data/a.csv", "feet,step,\"Lock out, loosen\",isolate;press,,"}})
            .empty());
  CHECK(cautions_from_the_list({{"data/a.csv", "feet,step,\"Lock out, loosen\",press,,"}}).size() ==
        1);
}

TEST_CASE("structure: every error code and finding has its row in the documents") {
  using structure::enumerators;
  using structure::rows;
  using structure::table_keys;
  const auto codes = enumerators(
      structure::read_text(top, "libbearingdsp/include/bearingdsp/core/result.hpp"), "Errc");
  REQUIRE(codes.size() >= 10);
  expect_none(
      rows(codes, table_keys(structure::read_text(top, "docs/errors.md")), "docs/errors.md"));
  const auto kinds =
      enumerators(structure::read_text(top, "libbearingdsp/include/bearingdsp/core/finding.hpp"),
                  "FindingKind");
  REQUIRE(kinds.size() >= 20);
  expect_none(
      rows(kinds, table_keys(structure::read_text(top, "docs/findings.md")), "docs/findings.md"));

  const auto made = enumerators("enum class Made : int {\n  a,  ///< b, c\n  d = 3\n};", "Made");
  CHECK(made == std::vector<std::string>{"a", "d"});
  CHECK(enumerators("enum class Other { a };", "Made").empty());
  CHECK(table_keys("| code | x |\n| --- | --- |\n| `a` | b |\n") == std::vector<std::string>{"a"});
  CHECK(rows({"a", "d"}, {"a"}, "made.md") == structure::Breaches{"made.md: no row for d"});
  CHECK(rows({"a"}, {"a", "e"}, "made.md").size() == 1);
}

TEST_CASE("structure: each page of the theory says what its method assumes and when it fails") {
  const auto missing = [](const std::string& text) {
    return text.find("ssumes") == std::string::npos || (text.find("ails") == std::string::npos);
  };
  int pages = 0;
  const std::string index = structure::read_text(top, "docs/theory/README.md");
  for (const auto& entry : std::filesystem::directory_iterator{top + "/docs/theory"}) {
    const std::string name = entry.path().filename().string();
    if (name == "README.md") continue;
    ++pages;
    INFO(name);
    CHECK_FALSE(missing(structure::read_text(top, "docs/theory/" + name)));
    CHECK(index.find("(" + name + ")") != std::string::npos);
  }
  CHECK(pages >= 12);

  CHECK(missing("It *fails* at night."));
  CHECK(missing("It *assumes* daylight."));
}

TEST_CASE("structure: every cited source is in the register") {
  const auto registered = structure::table_keys(structure::read_text(top, "docs/sources.md"));
  REQUIRE(registered.size() > 5);
  auto cited = library();
  for (auto& test : structure::read_tree(top, {"tests/unit"})) cited.push_back(std::move(test));
  expect_none(structure::unregistered_sources(cited, registered));

  using structure::unregistered_sources;
  const std::vector<std::string> known{"welch1967"};
  CHECK(unregistered_sources({header("dsp", "/// Source: [welch1967] eq. 3\n")}, known).empty());
  CHECK(unregistered_sources({header("dsp", "/// Source: [made1999] eq. 3\n")}, known).size() == 1);
  CHECK(unregistered_sources({header("dsp", "/// [src:made1999 table 2]\n")}, known).size() == 1);
  CHECK(unregistered_sources({header("dsp", "/// Shape: x [n], y[k] [n/2+1]\n")}, known).empty());
}

TEST_CASE("structure: a test that cites a source from memory says so") {
  const auto keys = structure::from_memory(structure::read_text(top, "docs/sources.md"));
  REQUIRE(keys.size() > 20);
  expect_none(structure::memory_unsaid(
      structure::read_tree(top, {"tests/unit", "tests/property", "tests/pipeline", "tests/cli"}),
      keys));

  CHECK(structure::from_memory("| `a1990` | x | memory; y |\n| `b1991` | memory | read |\n") ==
        std::vector<std::string>{"a1990"});
  const auto unsaid = [](const std::string& name) {
    return structure::memory_unsaid({{"tests/unit/a_test.cpp",
                                      "TEST_"
                                      "CASE(\n    \"" +
                                          name + "\") {"}},
                                    {"a1990"})
        .size();
  };
  CHECK(unsaid("x [src:a1990 table 1]") == 1);
  CHECK(unsaid("x [src:a1990 \"\n \"table 1]") == 1);
  CHECK(unsaid("x [src:a1990 table 1, from memory]") == 0);
  CHECK(unsaid("x [src:b1991 table 1]") == 0);
}

TEST_CASE("structure: every document that is named is there") {
  auto sources =
      structure::read_tree(top, {"libbearingdsp", "cli", "tests/unit", "tests/pipeline"});
  for (const std::string path : {"README.md", "DEVELOPERS.md", "testdata/README.md"})
    sources.push_back({path, structure::read_text(top, path)});
  expect_none(structure::dead_documents(
      sources, [](const std::string& path) { return std::filesystem::exists(top + "/" + path); }));

  const auto only_errors = [](const std::string& path) { return path == "docs/errors.md"; };
  using structure::dead_documents;
  CHECK(dead_documents({header("core", "/// see docs/errors.md.\n")}, only_errors).empty());
  CHECK(dead_documents({header("core", "/// see docs/made/up.md.\n")}, only_errors).size() == 1);
}
