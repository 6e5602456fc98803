using System.Text.RegularExpressions;
using AftercarePortal.Testing;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace AftercarePortal.Web.Tests.Access;

/// <summary>The whole portal on a free port with an empty SQLite database, and a visitor who never signed in.</summary>
public sealed partial class Running_portal : IAsyncLifetime
{
    /// <summary>An endpoint somebody forgot to put in the table.</summary>
    public const string Forgotten = "forgotten/by/the/table";

    private readonly SqliteTestDatabase _database = new();
    private WebApplication? _app;

    /// <summary>Sends requests, follows no redirect, keeps no cookie.</summary>
    public HttpClient Visitor { get; private set; } = null!;

    /// <summary>Each mapped route as the table spells it, with a method it takes.</summary>
    public IReadOnlyList<(string Route, string Method)> Mapped { get; private set; } = [];

    public async Task InitializeAsync()
    {
        _app = Portal.Build(["--urls=http://127.0.0.1:0", "--Jobs:Run=false", "--Database:Kind=sqlite", $"--Database:Connection={_database.Connection}"]);
        _app.MapGet("/" + Forgotten, () => "open to everybody");
        await _app.StartAsync();
        Mapped =
        [
            .. ((IEndpointRouteBuilder)_app).DataSources.SelectMany(d => d.Endpoints).OfType<RouteEndpoint>()
                .SelectMany(e => (e.Metadata.GetMetadata<IHttpMethodMetadata>()?.HttpMethods ?? ["GET", "POST"])
                    .Select(method => (e.RoutePattern.RawText!.TrimStart('/'), method)))
                .Distinct(),
        ];
        Visitor = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, UseCookies = false }) { BaseAddress = new Uri(_app.Urls.Single()) };
    }

    public async Task DisposeAsync()
    {
        Visitor.Dispose();
        if (_app is not null) await _app.DisposeAsync();
        _database.Dispose();
    }

    /// <summary>Asks for a route with something in the place of each parameter; returns the status.</summary>
    public async Task<int> StatusOf(string method, string route)
    {
        using var request = new HttpRequestMessage(new HttpMethod(method), "/" + Parameter().Replace(route, "01890a5d-ac96-774b-bcce-b302099a8057"));
        if (method == "POST") request.Content = new FormUrlEncodedContent([]);
        using var answer = await Visitor.SendAsync(request);
        return (int)answer.StatusCode;
    }

    [GeneratedRegex(@"\{[^}]*\}")]
    private static partial Regex Parameter();
}
