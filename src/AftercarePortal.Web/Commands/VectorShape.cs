using System.Globalization;
using System.Text.Json.Nodes;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads parts of a vector file. Another shape is a fault that names its place.</summary>
internal static class VectorShape
{
    internal static JsonObject Object(JsonNode? node, string at) => node as JsonObject ?? throw new FormatException($"{at}: this must be an object");

    internal static JsonArray List(JsonNode? node, string at) => node as JsonArray ?? throw new FormatException($"{at}: this must be a list");

    internal static double Number(JsonNode? node, string at) =>
        node is JsonValue && double.TryParse(node.ToJsonString(), NumberStyles.Float, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number)
            ? number : throw new FormatException($"{at}: this must be a number");

    internal static int Whole(JsonNode? node, string at) =>
        Number(node, at) is var number && number == Math.Floor(number) && Math.Abs(number) <= 1e9 ? (int)number : throw new FormatException($"{at}: this must be a whole number");

    internal static double[] Numbers(JsonNode? node, string at) => [.. List(node, at).Select((n, i) => Number(n, $"{at}[{i}]"))];

    internal static double[][] Table(JsonNode? node, string at) => [.. List(node, at).Select((n, i) => Numbers(n, $"{at}[{i}]"))];

    /// <summary>Largest difference of two lists of one length, relative where numbers are above 1.</summary>
    internal static double Apart(IReadOnlyList<double> ours, IReadOnlyList<double> theirs, string at) =>
        ours.Count == theirs.Count ? ours.Zip(theirs, Apart).DefaultIfEmpty(0).Max() : throw new FormatException($"{at}: this must hold {ours.Count} numbers");

    internal static double Apart(double ours, double theirs) => Math.Abs(ours - theirs) / Math.Max(1, Math.Abs(theirs));
}
