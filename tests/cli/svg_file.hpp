// An SVG picture as libxml2 reads it.
#pragma once

#include <libxml/parser.h>
#include <libxml/xpath.h>
#include <libxml/xpathInternals.h>

#include <cmath>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace noonshell::test {

class SvgFile {
  public:
    /// Throws where the text is no well-formed XML.
    explicit SvgFile(const std::string& text)
        : tree_(xmlReadMemory(text.data(), static_cast<int>(text.size()), "picture.svg", nullptr,
                              XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING),
                xmlFreeDoc) {
        if (!tree_) throw std::runtime_error("not well-formed");
    }

    /// What an expression finds, elements as "s:path"; of an attribute its value, else the text.
    std::vector<std::string> find(const std::string& expression) const {
        const std::unique_ptr<xmlXPathContext, void (*)(xmlXPathContext*)> context(
            xmlXPathNewContext(tree_.get()), xmlXPathFreeContext);
        xmlXPathRegisterNs(context.get(), xml("s"), xml("http://www.w3.org/2000/svg"));
        const std::unique_ptr<xmlXPathObject, void (*)(xmlXPathObject*)> found(
            xmlXPathEvalExpression(xml(expression), context.get()), xmlXPathFreeObject);
        if (!found) throw std::runtime_error("no expression: " + expression);
        std::vector<std::string> texts;
        const int n = found->nodesetval == nullptr ? 0 : found->nodesetval->nodeNr;
        for (int i = 0; i < n; ++i) {
            xmlChar* const content = xmlNodeGetContent(found->nodesetval->nodeTab[i]);
            for (const xmlChar* c = content; *c != 0; ++c) {
                if (c == content) texts.emplace_back();
                texts.back() += static_cast<char>(*c);
            }
            if (*content == 0) texts.emplace_back();
            xmlFree(content);
        }
        return texts;
    }

    /// The only thing that an expression finds.
    std::string one(const std::string& expression) const {
        const auto found = find(expression);
        if (found.size() != 1)
            throw std::runtime_error(expression + ": " + std::to_string(found.size()) + " found");
        return found[0];
    }

  private:
    static const xmlChar* xml(const std::string& text) {
        return reinterpret_cast<const xmlChar*>(text.c_str());
    }
    std::unique_ptr<xmlDoc, void (*)(xmlDoc*)> tree_;
};

using SvgPlaces = std::vector<std::pair<double, double>>;

/// Pairs of numbers, whatever stands between them.
inline SvgPlaces places_of(const std::string& numbers) {
    std::vector<double> values;
    for (std::size_t i = 0; i < numbers.size();) {
        if (std::string("-.0123456789").find(numbers[i]) == std::string::npos) {
            ++i;
            continue;
        }
        std::size_t used = 0;
        values.push_back(std::stod(numbers.substr(i), &used));
        i += used;
    }
    SvgPlaces places;
    for (std::size_t i = 0; i + 1 < values.size(); i += 2)
        places.emplace_back(values[i], values[i + 1]);
    return places;
}

/// Area within the outlines of a path, holes taken off, by the shoelace formula.
inline double area_of_path(const std::string& d) {
    double area = 0;
    for (std::size_t begin = 0; begin < d.size();) {
        const std::size_t end = d.find('Z', begin) + 1;
        const SvgPlaces ring = places_of(d.substr(begin, end - begin));
        for (std::size_t k = 0; k < ring.size(); ++k) {
            const auto &a = ring[k], &b = ring[(k + 1) % ring.size()];
            area += (a.first * b.second - b.first * a.second) / 2;
        }
        begin = end;
    }
    return std::abs(area);
}

}  // namespace noonshell::test
