// A plain main for a fuzzer: runs every seed under the paths given, then mutations of each that are
// the same on every machine. A crash, a hang (ctest's timeout) or an exception is the failure.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

#ifdef FEW_MUTATIONS
constexpr int mutations_per_seed = 20;
#else
constexpr int mutations_per_seed = 200;
#endif

using Bytes = std::vector<std::uint8_t>;

void run(const Bytes& bytes) { LLVMFuzzerTestOneInput(bytes.data(), bytes.size()); }

/// One to four of: a byte replaced, a bit turned, the end cut off, a stretch doubled, a run of one
/// byte.
Bytes mutated(Bytes bytes, std::mt19937& random) {
  const auto below = [&](std::size_t n) { return static_cast<std::size_t>(random() % n); };
  for (std::size_t change = 1 + below(4); change > 0 && !bytes.empty(); --change) {
    const std::size_t at = below(bytes.size());
    const std::size_t length = 1 + below(std::min<std::size_t>(bytes.size() - at, 64));
    const auto begin = bytes.begin() + static_cast<std::ptrdiff_t>(at);
    switch (below(5)) {
      case 0:
        *begin = static_cast<std::uint8_t>(below(256));
        break;
      case 1:
        *begin = static_cast<std::uint8_t>(*begin ^ (1U << below(8)));
        break;
      case 2:
        bytes.resize(at);
        break;
      case 3: {
        const Bytes stretch{begin, begin + static_cast<std::ptrdiff_t>(length)};
        bytes.insert(begin, stretch.begin(), stretch.end());
        break;
      }
      default:
        std::fill_n(begin, length, static_cast<std::uint8_t>(below(2) == 0 ? 0x00 : 0xff));
        break;
    }
  }
  return bytes;
}

}  // namespace

int main(int argc, char** argv) {
  std::vector<std::filesystem::path> seeds;
  for (int i = 1; i < argc; ++i) {
    const std::filesystem::path path{argv[i]};
    if (!std::filesystem::is_directory(path)) {
      seeds.push_back(path);
      continue;
    }
    for (const auto& entry : std::filesystem::recursive_directory_iterator{path})
      if (entry.is_regular_file()) seeds.push_back(entry.path());
  }
  std::sort(seeds.begin(), seeds.end());
  for (const auto& seed : seeds) {
    std::ifstream file{seed, std::ios::binary};
    const Bytes bytes{std::istreambuf_iterator<char>{file}, std::istreambuf_iterator<char>{}};
    std::printf("%s\n", seed.string().c_str());
    std::fflush(stdout);
    run(bytes);
    std::mt19937 random{20260101U};
    for (int i = 0; i < mutations_per_seed; ++i) run(mutated(bytes, random));
  }
  if (seeds.empty()) std::fputs("no seeds found\n", stderr);
  return seeds.empty() ? 1 : 0;
}
