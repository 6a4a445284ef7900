#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

#include <locale>
#include <stdexcept>

int main(int argc, char** argv) {
  // A host program may have set the user's language: take it on, so that a number read or printed
  // through the locale would show (run.sh tests under a decimal comma).
  try {
    std::locale::global(std::locale{""});
  } catch (const std::runtime_error&) {
    std::locale::global(std::locale::classic());  // no such locale on this machine
  }
  return doctest::Context{argc, argv}.run();
}
