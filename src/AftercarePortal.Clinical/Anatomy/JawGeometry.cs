namespace AftercarePortal.Clinical.Anatomy;

/// <summary>Angles and distances between points of a photo, each with the standard deviation that misplaced points alone give it.</summary>
/// <remarks>Delta method; errors of points independent and the same in all directions. Method and vectors: derived for this project, no outside source; checked by simulation.</remarks>
public static class JawGeometry
{
    private const double DegreesInRadian = 180 / Math.PI;

    /// <summary>The angle at <paramref name="b"/> between <paramref name="a"/> and <paramref name="c"/>, degrees 0..180. Scale, mirror and turning of the picture do not change it.</summary>
    /// <exception cref="ArgumentException">Two of the points are the same.</exception>
    public static double Angle(Spot a, Spot b, Spot c)
    {
        if (a == b || c == b) throw new ArgumentException("The angle's corner lies on one of its arms' ends.");
        var ((ux, uy), (vx, vy)) = ((a.X - b.X, a.Y - b.Y), (c.X - b.X, c.Y - b.Y));
        return Math.Atan2(Math.Abs(ux * vy - uy * vx), ux * vx + uy * vy) * DegreesInRadian;      // stable near 0 and 180, which acos is not
    }

    /// <summary>Standard deviation of <see cref="Angle"/>, degrees; sa, sb and sc are those of the three places along each axis, pixels.</summary>
    public static double AngleSd(Spot a, Spot b, Spot c, double sa, double sb, double sc)
    {
        var (la, lc) = (Length(a, b), Length(c, b));
        var cos = Math.Cos(Angle(a, b, c) / DegreesInRadian);
        return Math.Sqrt(sa * sa / (la * la) + sc * sc / (lc * lc) + sb * sb * (1 / (la * la) + 1 / (lc * lc) - 2 * cos / (la * lc))) * DegreesInRadian;
    }

    /// <summary>Distance of two points, pixels.</summary>
    public static double Length(Spot a, Spot b) => Math.Sqrt((a.X - b.X) * (a.X - b.X) + (a.Y - b.Y) * (a.Y - b.Y));

    /// <summary>Distance of a point from the line through two others, pixels, and its standard deviation for the given standard deviations of the three places.</summary>
    /// <exception cref="ArgumentException">The line's two points are the same.</exception>
    public static (double Value, double Sd) FromLine(Spot point, Spot from, Spot to, double sPoint, double sFrom, double sTo)
    {
        var length = Length(from, to);
        if (length == 0) throw new ArgumentException("A line needs two points.");
        var ((ux, uy), (px, py)) = (((to.X - from.X) / length, (to.Y - from.Y) / length), (point.X - from.X, point.Y - from.Y));
        var along = (px * ux + py * uy) / length;
        return (Math.Abs(ux * py - uy * px), Math.Sqrt(sPoint * sPoint + sFrom * sFrom * (1 - along) * (1 - along) + sTo * sTo * along * along));
    }
}
