using System.Globalization;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Keeps that a course is over, so that its cost can be compared with the range.</summary>
internal sealed class EndCourse(PortalDb db, ReadCourses courses, TimeProvider time)
{
    private const int MostSessions = 50;

    /// <summary>Why not, or null when it was kept.</summary>
    /// <param name="sessions">As typed.</param>
    public async Task<string?> Run(Guid intakeId, string? sessions, string person, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var known = (await courses.Run(stop)).Any(c => c.IntakeId == intakeId);

        // decide
        if (!known) return "This clinic has no such course.";
        if (!int.TryParse(sessions?.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out var count) || count > MostSessions) return $"Give the number of sessions, 0 to {MostSessions}.";

        // write
        var row = new CourseEndRow { IntakeId = intakeId, Sessions = count, EndedBy = person, EndedAt = now };
        db.Add(row);
        // What a course came to may widen the next ranges.
        db.Enqueue(SignRecord.LearnFigures, row.Id.ToString(), now, JobTable.LearningLane);
        await db.SaveChangesAsync(stop);
        return null;
    }
}
