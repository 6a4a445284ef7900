#pragma once
/// Text that is not UTF-8.
#include <memory>
#include <string>
#include <string_view>

#include "byte_source.hpp"

namespace bearingdsp::capture_detail {

/// The text, or what its bytes say in Latin-1 (as older spreadsheets write) if it is no UTF-8.
std::string as_utf8(std::string_view text);

/// Whether the bytes begin with the mark of UTF-16, of either byte order.
bool is_utf16(std::string_view head) noexcept;
/// A source of UTF-16 with its mark as UTF-8 without one; what is no character becomes U+FFFD.
/// Source: RFC 2781 section 2.2, RFC 3629 section 3.
std::unique_ptr<ByteStream> utf16_stream(ByteSource& source);

}  // namespace bearingdsp::capture_detail
