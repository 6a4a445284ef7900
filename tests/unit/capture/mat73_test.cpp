// MAT v7.3 as the HDF5 library writes it in its several makes, and files made to do harm.
#include <hdf5.h>
#include <sys/resource.h>
#include <zlib.h>

#include <array>
#include <cstring>
#include <filesystem>
#include <fstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/read.hpp"
#include "support/scratch.hpp"

namespace {

using namespace bearingdsp;

/// An HDF5 file behind a MAT header.
class Made {
 public:
  explicit Made(const std::string& path, bool latest = false) : path_{path} {
    const hid_t create = H5Pcreate(H5P_FILE_CREATE);
    REQUIRE(H5Pset_userblock(create, 512) >= 0);
    const hid_t access = H5Pcreate(H5P_FILE_ACCESS);
    if (latest) REQUIRE(H5Pset_libver_bounds(access, H5F_LIBVER_LATEST, H5F_LIBVER_LATEST) >= 0);
    file_ = H5Fcreate(path.c_str(), H5F_ACC_TRUNC, create, access);
    REQUIRE(file_ >= 0);
    H5Pclose(create);
    H5Pclose(access);
  }
  ~Made() {
    CHECK(H5Fclose(file_) >= 0);
    std::string head = "MATLAB 7.3 MAT-file, made by a test";
    head.resize(124, ' ');
    head += std::string{"\0\2IM", 4};
    std::fstream out{path_, std::ios::in | std::ios::out | std::ios::binary};
    out.write(head.data(), static_cast<std::streamsize>(head.size()));
  }
  Made(const Made&) = delete;
  Made& operator=(const Made&) = delete;

  [[nodiscard]] hid_t file() const { return file_; }
  static void put_class(hid_t object, const char* name) {
    const hid_t type = H5Tcopy(H5T_C_S1);
    H5Tset_size(type, std::strlen(name));
    const hid_t space = H5Screate(H5S_SCALAR);
    const hid_t a = H5Acreate2(object, "MATLAB_class", type, space, H5P_DEFAULT, H5P_DEFAULT);
    CHECK(H5Awrite(a, type, name) >= 0);
    H5Aclose(a);
    H5Sclose(space);
    H5Tclose(type);
  }
  /// The caller closes it.
  static hid_t dataset(hid_t where, const char* name, hid_t type, const std::vector<hsize_t>& sides,
                       const char* cls, hid_t form = H5P_DEFAULT,
                       const std::vector<hsize_t>& most = {}) {
    const hid_t space = H5Screate_simple(static_cast<int>(sides.size()), sides.data(),
                                         most.empty() ? nullptr : most.data());
    const hid_t d = H5Dcreate2(where, name, type, space, H5P_DEFAULT, form, H5P_DEFAULT);
    REQUIRE(d >= 0);
    H5Sclose(space);
    if (cls != nullptr) put_class(d, cls);
    return d;
  }
  void put(const char* name, hid_t type, const std::vector<hsize_t>& sides,
           const std::vector<double>& x, hid_t form = H5P_DEFAULT,
           const std::vector<hsize_t>& most = {}) const {
    const hid_t d = dataset(file_, name, type, sides, "double", form, most);
    CHECK(H5Dwrite(d, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, x.data()) >= 0);
    H5Dclose(d);
  }

 private:
  std::string path_;
  hid_t file_{};
};

/// -50, -49 ... 49, again from -50: fits every type below.
std::vector<double> steps(std::size_t n) {
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) x[i] = static_cast<double>(i % 100) - 50;
  return x;
}

/// A way to store numbers.
struct Form {
  const char* label;
  std::vector<hsize_t> chunk;
  bool shuffle{}, deflate{}, checksum{}, compact{};
};

hid_t form_of(const Form& f) {
  const hid_t p = H5Pcreate(H5P_DATASET_CREATE);
  if (!f.chunk.empty()) H5Pset_chunk(p, static_cast<int>(f.chunk.size()), f.chunk.data());
  if (f.shuffle) H5Pset_shuffle(p);
  if (f.deflate) H5Pset_deflate(p, 4);
  if (f.checksum) H5Pset_fletcher32(p);
  if (f.compact) H5Pset_layout(p, H5D_COMPACT);
  return p;
}

TEST_CASE("v7.3: every make of storage gives the numbers written [src:the HDF5 library]") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  const Form forms[] = {{"contiguous", {}},
                        {"compact", {}, false, false, false, true},
                        {"chunks", {1, 128}},
                        {"chunks of several channels", {2, 100}},
                        {"packed", {1, 300}, false, true},
                        {"packed, shuffled, with a checksum", {3, 77}, true, true, true},
                        {"one chunk", {3, 1000}, true, true}};
  const std::pair<hid_t, const char*> types[] = {
      {H5T_IEEE_F64LE, "f64"}, {H5T_IEEE_F64BE, "f64 big"}, {H5T_IEEE_F32LE, "f32"},
      {H5T_STD_I16LE, "i16"},  {H5T_STD_I16BE, "i16 big"},  {H5T_STD_I8LE, "i8"},
      {H5T_STD_I64LE, "i64"}};
  const std::vector<double> x = steps(3000);
  for (const bool latest : {false, true}) {
    for (const Form& form : forms) {
      for (const auto& type : types) {
        CAPTURE(latest);
        CAPTURE(form.label);
        CAPTURE(type.second);
        {
          const Made made{path, latest};
          const hid_t p = form_of(form);
          made.put("x", type.first, {3, 1000}, x, p);
          H5Pclose(p);
        }
        auto r = read_capture(path, {.rate = Hz{1000}});
        // Of the newer make only a dataset of one chunk, which needs no list of them, is known.
        if (latest && form.chunk.size() == 2 && form.chunk != std::vector<hsize_t>{3, 1000}) {
          REQUIRE(!r.has_value());
          CHECK(r.error().code == Errc::unsupported_format);
          continue;
        }
        REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
        REQUIRE(r->channels.size() == 3);
        for (std::size_t c = 0; c < 3; ++c) {
          REQUIRE(r->channels[c].samples.size() == 1000);
          CHECK(std::equal(x.begin() + static_cast<std::ptrdiff_t>(1000 * c),
                           x.begin() + static_cast<std::ptrdiff_t>(1000 * (c + 1)),
                           r->channels[c].samples.begin()));
        }
      }
    }
  }
}

TEST_CASE("v7.3: channels beside each other, and a chunk larger than what it holds") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  const std::vector<double> x = steps(2000);
  {
    const Made made{path};
    const hid_t p = form_of({"", {64, 2}, true, true});
    made.put("x", H5T_IEEE_F64LE, {1000, 2}, x, p);
    H5Pclose(p);
  }
  auto r = read_capture(path, {.rate = Hz{1000}});
  REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
  REQUIRE(r->channels.size() == 2);
  for (std::size_t i = 0; i < 1000; ++i) {
    CHECK(r->channels[0].samples.at(i) == x[2 * i]);
    CHECK(r->channels[1].samples.at(i) == x[2 * i + 1]);
  }
  {
    const Made made{path};
    const hid_t p = form_of({"", {4, 5000}, false, true});
    made.put("x", H5T_IEEE_F64LE, {1, 2000}, x, p, {H5S_UNLIMITED, H5S_UNLIMITED});
    H5Pclose(p);
  }
  auto grown = read_capture(path, {.rate = Hz{1000}});
  REQUIRE_MESSAGE(grown.has_value(), (grown ? std::string{} : grown.error().message()));
  CHECK(grown->channels.at(0).samples == x);
}

TEST_CASE("v7.3: many variables, more than one node of the list holds") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  for (const bool latest : {false, true}) {
    const int n = latest ? 7 : 700;  // a new-style group lists eight or fewer in its header
    {
      const Made made{path, latest};
      for (int i = 0; i < n; ++i) {
        made.put(fmt::format("v{:03}", i).c_str(), H5T_IEEE_F64LE, {1, 1},
                 {static_cast<double>(i)});
      }
    }
    const auto contents = list_contents(path);
    REQUIRE(contents.has_value());
    REQUIRE(contents->items.size() == static_cast<std::size_t>(n));
    for (int i = 0; i < n; ++i) {
      const ContentItem& item = contents->items[static_cast<std::size_t>(i)];
      CHECK(item.name == fmt::format("v{:03}", i));
      CHECK(item.value == static_cast<double>(i));
    }
  }
}

TEST_CASE("v7.3: arrays of structs, empty and complex arrays are listed for what they are") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  {
    const Made made{path};
    const hid_t refs = H5Gcreate2(made.file(), "#refs#", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT);
    std::array<hobj_ref_t, 2> parts{};
    for (std::size_t i = 0; i < 2; ++i) {
      const std::string name = i == 0 ? "a" : "b";
      const hid_t d =
          Made::dataset(refs, name.c_str(), H5T_IEEE_F64LE, {1, i == 0 ? 1U : 40U}, "double");
      const std::vector<double> x = steps(40);
      H5Dwrite(d, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, x.data());
      H5Dclose(d);
      H5Rcreate(&parts[i], made.file(), ("/#refs#/" + name).c_str(), H5R_OBJECT, -1);
    }
    const hid_t runs = H5Gcreate2(made.file(), "runs", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT);
    Made::put_class(runs, "struct");
    const hid_t d = Made::dataset(runs, "x", H5T_STD_REF_OBJ, {2, 1}, nullptr);
    H5Dwrite(d, H5T_STD_REF_OBJ, H5S_ALL, H5S_ALL, H5P_DEFAULT, parts.data());
    H5Dclose(d);
    H5Gclose(runs);
    H5Gclose(refs);
    const hid_t complex = H5Tcreate(H5T_COMPOUND, 16);
    H5Tinsert(complex, "real", 0, H5T_IEEE_F64LE);
    H5Tinsert(complex, "imag", 8, H5T_IEEE_F64LE);
    H5Dclose(Made::dataset(made.file(), "z", complex, {1, 50}, "double"));
    H5Tclose(complex);
    const hid_t empty = Made::dataset(made.file(), "e", H5T_STD_U64LE, {2}, "double");
    const hid_t space = H5Screate(H5S_SCALAR);
    const hid_t a =
        H5Acreate2(empty, "MATLAB_empty", H5T_STD_U8LE, space, H5P_DEFAULT, H5P_DEFAULT);
    const unsigned char one = 1;
    H5Awrite(a, H5T_NATIVE_UCHAR, &one);
    H5Aclose(a);
    H5Sclose(space);
    H5Dclose(empty);
  }
  const auto contents = list_contents(path);
  REQUIRE(contents.has_value());
  std::string names;
  for (const ContentItem& item : contents->items) names += item.name + ":" + item.type + " ";
  CHECK(names == "e:double runs:struct runs(1).x:double runs(2).x:double z:complex double ");
  CHECK(contents->items[2].value == -50.0);
  auto r = read_capture(path, {.rate = Hz{1000}});
  REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
  CHECK(r->channels.at(0).name == "runs(2).x");
  CHECK(r->size() == 40);
}

TEST_CASE("v7.3: a file cut off gives what is there, and says so") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  const std::vector<double> x = steps(20000);
  {
    const Made made{path};
    made.put("x", H5T_IEEE_F64LE, {1, 20000}, x);
  }
  std::filesystem::resize_file(path, std::filesystem::file_size(path) - 80000);
  auto r = read_capture(path, {.rate = Hz{1000}});
  REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
  CHECK(r->size() < 20000);
  CHECK(r->size() > 5000);
  CHECK(r->findings.at(0).kind == FindingKind::truncated);
  CHECK(std::equal(r->channels[0].samples.begin(), r->channels[0].samples.end(), x.begin()));
}

TEST_CASE("v7.3: a chunk never written ends the recording, it is not taken for silence") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  {
    const Made made{path};
    const hid_t p = form_of({"", {1, 100}});
    H5Pset_alloc_time(p, H5D_ALLOC_TIME_INCR);
    const hid_t d = Made::dataset(made.file(), "x", H5T_IEEE_F64LE, {1, 1000}, "double", p);
    const hsize_t start[2] = {0, 0};
    const hsize_t some[2] = {1, 300};
    const hid_t in_file = H5Dget_space(d);
    H5Sselect_hyperslab(in_file, H5S_SELECT_SET, start, nullptr, some, nullptr);
    const hid_t in_memory = H5Screate_simple(2, some, nullptr);
    H5Dwrite(d, H5T_NATIVE_DOUBLE, in_memory, in_file, H5P_DEFAULT, steps(300).data());
    H5Sclose(in_memory);
    H5Sclose(in_file);
    H5Dclose(d);
    H5Pclose(p);
  }
  auto r = read_capture(path, {.rate = Hz{1000}});
  REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
  CHECK(r->size() == 300);
  CHECK(r->findings.at(0).kind == FindingKind::truncated);
}

long peak_kb() {
  rusage use{};
  getrusage(RUSAGE_SELF, &use);
  return use.ru_maxrss;
}
constexpr long harmless_kb = 400'000;

/// The list and the capture of a file, in bounded memory; in bounded time, or the test would hang.
Result<Capture> read_hostile(const std::string& path, std::size_t max_items) {
  const long before = peak_kb();
  const auto contents = list_contents(path);
  if (contents) CHECK(contents->items.size() <= max_items);
  auto r = read_capture(path, {.rate = Hz{1000}});
  CHECK(peak_kb() - before < harmless_kb);
  return r;
}

TEST_CASE("v7.3 made to do harm: cells and groups that hold themselves end") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  {
    const Made made{path};
    const hid_t refs = H5Gcreate2(made.file(), "#refs#", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT);
    const hid_t d = Made::dataset(refs, "a", H5T_STD_REF_OBJ, {1, 2}, "cell");
    std::array<hobj_ref_t, 2> self{};
    for (hobj_ref_t& r : self) H5Rcreate(&r, made.file(), "/#refs#/a", H5R_OBJECT, -1);
    H5Dwrite(d, H5T_STD_REF_OBJ, H5S_ALL, H5S_ALL, H5P_DEFAULT, self.data());
    H5Dclose(d);
    H5Gclose(refs);
    H5Lcreate_hard(made.file(), "/#refs#/a", made.file(), "c", H5P_DEFAULT, H5P_DEFAULT);
    made.put("b", H5T_IEEE_F64LE, {1, 100}, steps(100));
  }
  auto cell = read_hostile(path, 20000);
  REQUIRE_MESSAGE(cell.has_value(), (cell ? std::string{} : cell.error().message()));
  CHECK(cell->size() == 100);
  {
    const Made made{path};
    const hid_t g = H5Gcreate2(made.file(), "s", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT);
    Made::put_class(g, "struct");
    H5Lcreate_hard(made.file(), "/s", g, "t", H5P_DEFAULT, H5P_DEFAULT);
    H5Lcreate_hard(made.file(), "/", g, "u", H5P_DEFAULT, H5P_DEFAULT);
    H5Gclose(g);
    made.put("a", H5T_IEEE_F64LE, {1, 100}, steps(100));
  }
  auto group = read_hostile(path, 20000);
  REQUIRE(!group.has_value());  // its one signal stands under many names
  CHECK(group.error().code == Errc::missing_metadata);
}

TEST_CASE("v7.3 made to do harm: sizes that only a few bytes stand behind are refused") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  const Form packed{"", {1, 1024}, false, true};
  const std::pair<hid_t, const char*> kinds[] = {{H5T_STD_REF_OBJ, "cell"},
                                                 {H5T_IEEE_F64LE, "double"}};
  for (const auto& kind : kinds) {
    CAPTURE(kind.second);
    {
      const Made made{path};
      const hid_t p = form_of(packed);
      H5Dclose(Made::dataset(made.file(), "c", kind.first, {10, 200'000'000}, kind.second, p));
      H5Pclose(p);
    }
    auto r = read_hostile(path, 10);
    REQUIRE(!r.has_value());
    CHECK(r.error().message().find('\n') == std::string::npos);
  }
}

/// 64 MB of zeros as a zlib stream of some 64 kB.
std::vector<unsigned char> packed_zeros() {
  std::vector<unsigned char> zeros(64U << 20U);
  uLongf size = compressBound(static_cast<uLong>(zeros.size()));
  std::vector<unsigned char> out(size);
  REQUIRE(compress(out.data(), &size, zeros.data(), static_cast<uLong>(zeros.size())) == Z_OK);
  out.resize(size);
  return out;
}

TEST_CASE("v7.3 made to do harm: a chunk that unpacks to more than it says is damaged") {
  const test::Scratch scratch;
  const std::string path = scratch.path("a.mat");
  {
    const Made made{path};
    const hid_t p = form_of({"", {1, 1000}, false, true});
    const hid_t d = Made::dataset(made.file(), "x", H5T_IEEE_F64LE, {1, 1000}, "double", p);
    const auto bomb = packed_zeros();
    const hsize_t first[2] = {0, 0};
    CHECK(H5Dwrite_chunk(d, H5P_DEFAULT, 0, first, bomb.size(), bomb.data()) >= 0);
    H5Dclose(d);
    H5Pclose(p);
  }
  auto r = read_hostile(path, 10);
  REQUIRE(!r.has_value());
  CHECK(r.error().code == Errc::corrupt_file);
}

TEST_CASE("v7.3 made to do harm: another file that it names is not opened") {
  const test::Scratch scratch;
  const std::string secret = scratch.path("secret.bin");
  std::ofstream{secret, std::ios::binary} << std::string(8000, 'A');
  const std::string path = scratch.path("a.mat");
  {
    const Made made{path};
    const hid_t p = H5Pcreate(H5P_DATASET_CREATE);
    H5Pset_external(p, secret.c_str(), 0, 8000);
    H5Dclose(Made::dataset(made.file(), "x", H5T_IEEE_F64LE, {1, 1000}, "double", p));
    H5Pclose(p);
  }
  auto r = read_capture(path, {.rate = Hz{1000}});
  REQUIRE(!r.has_value());
  CHECK(r.error().code == Errc::unsupported_format);
  CHECK(r.error().what == "variable 'x' stores its numbers in another file");
}

void word(std::string& out, std::uint32_t v) {
  out.append(reinterpret_cast<const char*>(&v), sizeof v);
}

TEST_CASE("packed v5 and text not possible for a recording are refused before they unfold") {
  // A v5 vector of 400 million zeros of one byte each, packed: 400 MB, and eight times that as
  // samples, in some 400 kB. Layout by the published description of the format.
  std::string inner;
  for (const std::uint32_t v : {14U, 400'000'056U, 6U, 8U, 6U, 0U, 5U, 8U, 400'000'000U, 1U}) {
    word(inner, v);
  }
  word(inner, 0x00010001U);
  inner += std::string{"x\0\0\0", 4};
  word(inner, 1);
  word(inner, 400'000'000U);
  std::string mat = "MATLAB 5.0 MAT-file";
  mat.resize(124, ' ');
  mat += std::string{"\0\1IM", 4};
  std::string packed(2'000'000, '\0');
  z_stream z{};
  REQUIRE(deflateInit(&z, 6) == Z_OK);
  z.next_out = reinterpret_cast<Bytef*>(packed.data());
  z.avail_out = static_cast<uInt>(packed.size());
  z.next_in = reinterpret_cast<Bytef*>(inner.data());
  z.avail_in = static_cast<uInt>(inner.size());
  REQUIRE(deflate(&z, Z_NO_FLUSH) == Z_OK);
  std::string zeros(1'000'000, '\0');
  for (int i = 0; i < 400; ++i) {
    z.next_in = reinterpret_cast<Bytef*>(zeros.data());
    z.avail_in = static_cast<uInt>(zeros.size());
    deflate(&z, i == 399 ? Z_FINISH : Z_NO_FLUSH);
  }
  packed.resize(z.total_out);
  deflateEnd(&z);
  word(mat, 15);
  word(mat, static_cast<std::uint32_t>(packed.size()));
  mat += packed;

  std::string rows;
  while (rows.size() < 40'000'000) rows += "1\n";
  const test::Scratch scratch;
  const std::string text = scratch.path("a.csv.gz");
  gzFile gz = gzopen(text.c_str(), "wb");
  REQUIRE(gz != nullptr);
  CHECK(gzwrite(gz, rows.data(), static_cast<unsigned>(rows.size())) > 0);
  CHECK(gzclose(gz) == Z_OK);

  const long before = peak_kb();
  const auto v5 = read_capture_bytes(std::as_bytes(std::span{mat}), "a.mat", {.rate = Hz{1000}});
  const auto csv = read_capture(text, {.rate = Hz{1000}});
  CHECK(peak_kb() - before < harmless_kb);
  for (const auto* r : {&v5, &csv}) {
    REQUIRE(!r->has_value());
    CHECK(r->error().code == Errc::corrupt_file);
    CHECK(r->error().message().find("not possible for a recording") != std::string::npos);
  }
}

}  // namespace
