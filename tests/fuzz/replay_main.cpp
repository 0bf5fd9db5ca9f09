// Runs a fuzz target over files and over a bounded number of mutations of each, the same ones every time, so
// that every compiler has a real short run of it.
//
//   replay MUTATIONS FILE_OR_FOLDER...

#include <algorithm>
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

void run(const std::string& bytes) {
    (void)LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
}

std::vector<std::filesystem::path> filesIn(const std::filesystem::path& path) {
    if (!std::filesystem::is_directory(path)) return {path};
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(path)) {
        if (entry.is_regular_file()) files.push_back(entry.path());
    }
    std::ranges::sort(files);
    return files;
}

class Mutator {
  public:
    std::string mutated(std::string bytes, const std::string& other) {
        for (std::size_t times = 1 + below(4); times > 0; --times) mutate(bytes, other);
        return bytes;
    }

  private:
    std::size_t below(std::size_t limit) { return limit == 0 ? 0 : engine_() % limit; }

    void mutate(std::string& bytes, const std::string& other) {
        static const std::vector<std::string> kPieces{
            "\"",    "'",      "#",          "\t",           "\n",    "\r",       ",",    ";", ".", "-",
            "1e308", "1e-308", "nan",        "999999999",    "0",     "\xC2\xB0", "\xFF", "<", ">", "&lt;",
            "<!--",  "]]>",    "END_DATA\n", "BEGIN_DATA\n", "LAB_L", "=",        "%"};
        const std::size_t at = below(bytes.size() + 1);
        const std::size_t length = below(std::min<std::size_t>(bytes.size() - at, 64) + 1);
        switch (below(6)) {
            case 0:
                if (at < bytes.size()) bytes[at] = static_cast<char>(engine_() & 0xFF);
                break;
            case 1:
                bytes.erase(at, length);
                break;
            case 2:
                bytes.insert(at, kPieces[below(kPieces.size())]);
                break;
            case 3:
                bytes.insert(at, bytes.substr(below(bytes.size() + 1), length));
                break;
            case 4:
                bytes.resize(at);
                break;
            default:
                bytes.insert(at, other.substr(below(other.size() + 1), 64));
                break;
        }
    }

    std::mt19937 engine_{20240229};
};

}  // namespace

int main(int count, char** arguments) {
    if (count < 3) {
        std::fprintf(stderr, "usage: %s MUTATIONS FILE_OR_FOLDER...\n", arguments[0]);
        return 2;
    }
    const auto mutations = static_cast<std::size_t>(std::strtoul(arguments[1], nullptr, 10));
    std::vector<std::string> corpus;
    for (int i = 2; i < count; ++i) {
        for (const auto& path : filesIn(arguments[i])) {
            std::ifstream file(path, std::ios::binary);
            corpus.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
        }
    }
    if (corpus.empty()) {
        std::fprintf(stderr, "no files\n");
        return 2;
    }
    Mutator mutator;
    std::size_t runs = 0;
    for (std::size_t i = 0; i < corpus.size(); ++i) {
        run(corpus[i]);
        ++runs;
        for (std::size_t m = 0; m < mutations; ++m, ++runs) {
            run(mutator.mutated(corpus[i], corpus[(i + m) % corpus.size()]));
        }
    }
    std::printf("%zu inputs, %zu runs\n", corpus.size(), runs);
    return 0;
}
