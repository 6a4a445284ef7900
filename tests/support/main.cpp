#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

#include <cstdio>
#include <locale>
#include <stdexcept>

#include "skip.hpp"

namespace {

/// A name that ctest got wrong (a semicolon splits it) would select nothing and pass: that fails.
struct SomethingRan : doctest::IReporter {
  static inline int cases = 0;  ///< that pass the filters of the command line
  static inline bool counted = false;
  explicit SomethingRan(const doctest::ContextOptions& /*options*/) {}
  void test_run_end(const doctest::TestRunStats& stats) override {
    cases = static_cast<int>(stats.numTestCasesPassingFilters);
    counted = true;
  }
  void report_query(const doctest::QueryData& /*data*/) override {}
  void test_run_start() override {}
  void test_case_start(const doctest::TestCaseData& /*data*/) override {}
  void test_case_reenter(const doctest::TestCaseData& /*data*/) override {}
  void test_case_end(const doctest::CurrentTestCaseStats& /*stats*/) override {}
  void test_case_exception(const doctest::TestCaseException& /*exception*/) override {}
  void subcase_start(const doctest::SubcaseSignature& /*signature*/) override {}
  void subcase_end() override {}
  void log_assert(const doctest::AssertData& /*data*/) override {}
  void log_message(const doctest::MessageData& /*data*/) override {}
  void test_case_skipped(const doctest::TestCaseData& /*data*/) override {}
};
REGISTER_LISTENER("something ran", 1, SomethingRan);

}  // namespace

int main(int argc, char** argv) {
  // A host program may have set the user's language: take it on, so that a number read or printed
  // through the locale would show (run.sh tests under a decimal comma).
  try {
    std::locale::global(std::locale{""});
  } catch (const std::runtime_error&) {
    std::locale::global(std::locale::classic());  // no such locale on this machine
  }
  const int failed = doctest::Context{argc, argv}.run();
  if (SomethingRan::counted && SomethingRan::cases == 0) {
    std::fputs("no test case has this name\n", stderr);
    return 1;
  }
  // Run one by one, as ctest does, a test that was skipped is not one that passed. Run together,
  // the others decide; each that was skipped has said so.
  if (failed == 0 && test::skipped_cases > 0 && test::skipped_cases >= SomethingRan::cases)
    return 77;
  if (test::skipped_cases > 0) std::printf("%d test cases were skipped\n", test::skipped_cases);
  return failed;
}
