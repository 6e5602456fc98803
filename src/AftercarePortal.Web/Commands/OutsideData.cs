using System.Globalization;

namespace AftercarePortal.Web.Commands;

/// <summary>Measurements others published, for checks against what others made of them. Facts; nothing clinical.</summary>
internal static class OutsideData
{
    /// <summary>Passage times of light, deviations in billionths of a second. Newcomb 1882, printed in Stigler 1977; R MASS <c>newcomb</c>. Written down from memory, then found number for number the same in the data of R's MASS 7.3-58.2 (Debian r-cran-mass) on 2026-11-26.</summary>
    internal static IReadOnlyList<double> Newcomb { get; } =
    [
        28, -44, 29, 30, 24, 28, 37, 32, 36, 27, 26, 28, 29, 26, 27, 22, 23, 20, 25, 25, 36, 23, 31, 32, 24, 27, 33, 16, 24, 29, 36, 21, 28,
        26, 27, 27, 32, 25, 28, 24, 40, 21, 31, 32, 28, 26, 30, 27, 26, 24, 32, 29, 34, -2, 25, 19, 36, 29, 30, 22, 28, 33, 39, 25, 16, 23,
    ];

    /// <summary>Yield of dyestuff of six batches. Davies and Goldsmith 1972; R lme4 <c>Dyestuff</c>. Written down from memory, then found number for number the same in the data of lme4 1.1-31 (Debian r-cran-lme4) on 2026-11-26.</summary>
    internal static IReadOnlyList<double[]> Dyestuff { get; } =
    [
        [1545, 1440, 1440, 1520, 1580], [1540, 1555, 1490, 1560, 1495], [1595, 1550, 1605, 1510, 1560], [1445, 1440, 1595, 1465, 1545], [1595, 1630, 1515, 1635, 1625], [1520, 1455, 1450, 1480, 1445],
    ];

    /// <summary>Mean pixel intensity of the right and left lymph nodes of ten dogs: dog, side, day, intensity. Pinheiro and Bates 2000; R nlme <c>Pixel</c>, read in Rdatasets csv/nlme/Pixel.csv on 2026-11-25.</summary>
    internal static IReadOnlyList<(int Dog, int Side, double Day, double Pixel)> Pixel { get; } =
    [
        .. from line in PixelText.Split('\n', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries)
           let parts = line.Split(' ')
           from value in parts.Skip(2)
           let pair = value.Split(':')
           select (int.Parse(parts[0], CultureInfo.InvariantCulture), parts[1] == "L" ? 1 : 0, double.Parse(pair[0], CultureInfo.InvariantCulture), double.Parse(pair[1], CultureInfo.InvariantCulture)),
    ];

    private const string PixelText =
        """
        1 R 0:1045.8 1:1044.5 2:1042.9 4:1050.4 6:1045.2 10:1038.9 14:1039.8
        2 R 0:1041.8 1:1045.6 2:1051 4:1054.1 6:1052.7 10:1062 14:1050.8
        3 R 0:1039.8 4:1082.9 6:1091.1 8:1088.5 10:1099.4 14:1086.8 21:1073.6
        4 R 0:1034.1 4:1090.7 6:1126.4 8:1108.8 10:1122.5 14:1100.7 21:1102.2
        5 R 4:1124.4 6:1128.2 8:1124.1 10:1126.7 14:1109.9
        6 R 4:1094.2 6:1084.1 8:1093.9 10:1082.7 14:1076.1
        7 R 4:1151.3 6:1160.3 10:1139.7 14:1133.2
        8 R 4:1077.5 6:1085.9 10:1100.8 14:1083.4
        9 R 4:1068.2 8:1064
        10 R 4:1095 6:1094.7 8:1081.4
        1 L 0:1040.9 1:1054.1 2:1051.9 4:1054.1 6:1051.3 10:1051.4 14:1046.1
        2 L 0:1053.6 1:1052.9 2:1053.6 4:1057.1 6:1064 10:1065.3 14:1053.4
        3 L 0:1043.9 4:1069 6:1082.5 8:1077.7 10:1073.5 14:1076.4 21:1053.8
        4 L 0:1039.9 4:1114.1 6:1111.5 8:1100.3 10:1124 14:1113.2 21:1077
        5 L 4:1114.7 6:1117.6 8:1128.2 10:1130.5 14:1102.2
        6 L 4:1106 6:1121.5 8:1115.5 10:1105.2 14:1092.8
        7 L 4:1129.7 6:1136.2 10:1108.5 14:1094.3
        8 L 4:1098.8 6:1103.6 10:1106.8 14:1105
        9 L 4:1097.2 8:1099.5
        10 L 4:1132.3 6:1154.5 8:1161.1
        """;
}
