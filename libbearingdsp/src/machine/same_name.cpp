#include "machine/same_name.hpp"

#include <cstddef>

#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
namespace {

bool separator(char c) { return c == ' ' || c == '-' || c == '_' || c == '\t'; }

/// Gives the characters that count, one at a time: '-' for a separator between two digits.
class Letters {
 public:
  explicit Letters(std::string_view text) : text_{text} {}
  /// 0 at the end.
  char next() {
    const std::size_t from = at_;
    while (at_ < text_.size() && separator(text_[at_])) ++at_;
    if (at_ == text_.size()) return 0;
    if (at_ > from && from > 0 && is_digit(text_[from - 1]) && is_digit(text_[at_]) &&
        !separated_) {
      separated_ = true;
      at_ = from;
      return '-';
    }
    separated_ = false;
    return lower(text_[at_++]);
  }

 private:
  std::string_view text_;
  std::size_t at_{0};
  bool separated_{false};
};

}  // namespace

bool same_name(std::string_view a, std::string_view b) noexcept {
  Letters x{a};
  Letters y{b};
  while (true) {
    const char c = x.next();
    if (c != y.next()) return false;
    if (c == 0) return true;
  }
}

}  // namespace bearingdsp
